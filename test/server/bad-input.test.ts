import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import type { Role } from '../../server/http/access.ts';
import { inputSchema, isSchema } from '../../server/http/json-schema.ts';
import type { RouteDefinition } from '../../server/http/route.ts';
import { apiRoutes } from '../../server/routes.ts';
import { brokenDocuments, faultsIn, hostileTexts, replaced, withOtherIds, withText } from '../support/bad-values.ts';
import { rowOfSlips } from '../support/row-of-slips.ts';
import { exampleOf } from '../support/schema-example.ts';
import { call, type TestServer } from '../support/server.ts';
import { startMarina } from './occupancy/fixture.ts';

// Every route that is registered is tried, with faults made from its own schemas: a new route needs nothing here.

let server: TestServer;
/** Real ids of each marina by what stands before them in a path. */
let ids: Record<'north' | 'south', Readonly<Record<string, string>>>;
let before: Readonly<Record<string, string>>;

beforeAll(async () => {
  server = await startMarina();
  await putRowOfSlips();
  ids = {
    north: { ...partsOfNorth, ...(await makeThings('north', server.tokens, 'A3', 'B3', 'a1a')) },
    south: { ...partsOfSouth, ...(await makeThings('south', server.foreignTokens, 'S1', 'S2', 'O3')) },
  };
  before = await contents();
});
afterAll(() => server?.close());

const partsOfNorth = {
  docks: 'dock-a',
  equipment: 'feeder-a1',
  pedestals: 'ped-a1',
  outlets: 'a1a',
  'space-units': 'A1',
  berths: 'A1',
  'adapter-stock': 'stock-step-down',
  'adapter-kinds': 'own-step-down',
  practices: 'harbor-sum',
  demand: 'feeder-a1',
};
const partsOfSouth = {
  docks: 'dock',
  equipment: 'feeder',
  pedestals: 'P1',
  outlets: 'O1',
  'space-units': 'S1',
  berths: 'S1',
  'adapter-stock': 'stock',
  'adapter-kinds': 'own-step-down',
  practices: 'no-practice',
  demand: 'feeder',
};

const named = apiRoutes.map((route) => ({ name: `${route.method} ${route.url}`, route }));
const withBody = named.filter(({ route }) => route.body !== undefined);
const withQuery = named.filter(({ route }) => queryFields(route).length > 0);
const ofMarina = named.filter(({ route }) => route.url.includes(':marinaId'));

describe('a body', () => {
  test.each(withBody)('$name: every fault at every place is refused, and nothing is stored', async ({ route }) => {
    const bodies = soundBodies(route);
    const [body] = bodies;
    for (const fault of bodies.flatMap(faultsIn)) await refused(route, { payload: fault.text }, fault.name);
    for (const payload of brokenDocuments) {
      // A body that may be left out may be null.
      if (route.body?.safeParse(undefined).success && (payload === '' || payload === 'null')) continue;
      await refused(route, { payload }, payload.slice(0, 40));
    }
    const sound = JSON.stringify(body);
    for (const type of ['text/plain', 'application/xml', 'multipart/form-data; boundary=x', 'x', null]) {
      const reply = await refused(route, { payload: sound, contentType: type }, `content type ${type}`);
      expect(reply.status).toBe(415);
    }
    const notUtf8 = Buffer.concat([Buffer.from('{"name":"'), Buffer.from([0xff, 0xfe, 0xc0]), Buffer.from('"}')]);
    await refused(route, { payload: notUtf8 }, 'bytes that are no UTF-8');
    await expectRefusedAndUnchanged();
  });

  test.each(withBody)(
    '$name: a body of 10 MB, or beyond a larger limit of its own, is too large',
    async ({ route }) => {
      const limit = route.bodyLimit ?? 0;
      const text = (bytes: number) => JSON.stringify({ text: 'a'.repeat(bytes) });
      const ten = await refused(route, { payload: text(10 * 1024 * 1024) }, '10 MB');
      if (limit < 10 * 1024 * 1024) expect(ten.status).toBe(413);
      else expect((await refused(route, { payload: text(limit) }, 'beyond its limit')).status).toBe(413);
      await expectRefusedAndUnchanged();
    },
  );

  test.each(named.filter(({ route }) => route.body === undefined && /POST|PUT|PATCH/.test(route.method)))(
    '$name takes none',
    async ({ route }) => {
      await refused(route, { payload: '{"a":1}' }, 'a body');
      await expectRefusedAndUnchanged();
    },
  );
});

describe('a query', () => {
  test.each(withQuery)('$name: wrong, endless and repeated fields are refused', async ({ route }) => {
    for (const { name, type, isInstant, isDay } of queryFields(route)) {
      const bad = [
        'a'.repeat(1024 * 1024),
        'x%00y',
        ...(type === 'integer' || type === 'number'
          ? ['', '-1', '1.5e300', 'NaN', 'Infinity', '1e999', 'x', '%20']
          : []),
        ...(isInstant ? ['', '2030-02-30T12:00:00Z', '2030-06-10', '999999-01-01T00:00:00Z', 'now'] : []),
        ...(isDay ? ['', '2030-02-30', '2030-13-01', 'today', '2030-06-10T12:00:00Z'] : []),
        ...(name === 'limit' ? ['0', '201', '1.5'] : []),
        ...(name === 'cursor' ? brokenCursors : []),
      ];
      for (const value of bad) await refused(route, { query: `${name}=${value}` }, `${name}=${value.slice(0, 60)}`);
      await refused(route, { query: `${name}=1&${name}=1` }, `${name} twice`);
      await refused(route, { query: `${name}[]=1` }, `${name}[]`);
    }
    await expectRefusedAndUnchanged();
  });

  test.each(ofMarina)('$name: a field that does not exist is refused', async ({ route }) => {
    const [body] = route.body === undefined ? [undefined] : soundBodies(route);
    const payload = body === undefined ? undefined : JSON.stringify(body);
    for (const query of [
      'nosuch=1',
      `x=${'a'.repeat(1024 * 1024)}`,
      '__proto__=1',
      Array(5_000).fill('a=1').join('&'),
    ]) {
      await refused(route, { query, payload }, query.slice(0, 40));
    }
    await expectRefusedAndUnchanged();
  });
});

describe('a path', () => {
  test.each(ofMarina)('$name: ids that are none are refused', async ({ route }) => {
    const [body] = route.body === undefined ? [undefined] : soundBodies(route);
    const payload = body === undefined ? undefined : JSON.stringify(body);
    const parts = route.url.split('/').filter((part) => part.startsWith(':'));
    for (const part of parts) {
      for (const bad of [
        'a%2Fb',
        '%00',
        'a%00b',
        '%ff',
        '%',
        'a b'.replace(' ', '%20'),
        '%3Cscript%3E',
        'x'.repeat(5_000),
      ]) {
        const url = pathOf(route.url.replace(part, bad), 'north');
        await refused(route, { url, payload }, `${part} ${bad.slice(0, 40)}`);
      }
      for (const bad of ["'%20OR%20'1'='1", '%ED%A0%80', '..%2F..', '%F0%9F%9B%A5']) {
        const url = pathOf(route.url.replace(part, bad), 'north');
        await refused(route, { url, payload }, `${part} ${bad}`);
      }
    }
    await expectRefusedAndUnchanged();
  });

  test.each(ofMarina)('$name: another marina is not there', async ({ route }) => {
    const [body] = route.body === undefined ? [undefined] : soundBodies(route);
    const payload = body === undefined ? undefined : JSON.stringify(body);
    const role = roleFor(route);
    const theirs = await send(route, { url: pathOf(route.url, 'south'), payload });
    expect(theirs.status).toBe(404);
    const stranger = await send(route, { payload, token: server.foreignTokens[role] });
    expect(stranger.status).toBe(404);
    await expectRefusedAndUnchanged();
  });

  // The ids of docks, outlets and so on are the marina's own choice: a PUT under an id that another one uses is new.
  const named = ofMarina.filter(({ route }) => route.url.split(':').length > 2 && !isCollectionPut(route));
  test.each(named)("$name: another marina's thing under the own marina is not there", async ({ route }) => {
    for (const body of route.body === undefined ? [undefined] : soundBodies(route)) {
      const url = pathOf(route.url, 'south').replace('/marinas/south', '/marinas/north');
      // Both marinas named one thing alike: then it is the own one.
      if (url === pathOf(route.url, 'north')) continue;
      const reply = await refused(
        route,
        { url, payload: body === undefined ? undefined : JSON.stringify(body) },
        'an id of another marina',
      );
      expect(reply.status).toBe(404);
    }
    await expectRefusedAndUnchanged();
  });
});

/** What the dock reports is kept whatever it names: refusing it would lose what somebody saw. */
const isReport = (route: RouteDefinition) => route.url.endsWith('/dock-events/:eventId');

test.each(withBody.filter(({ route }) => isReport(route)))(
  "$name: another marina's ids are kept as a contradiction and touch nothing of theirs",
  async ({ route }) => {
    const seqOfSouth = async () => (await server.db.pool.query("SELECT seq FROM marina WHERE id = 'south'")).rows;
    const was = await seqOfSouth();
    const faults = soundBodies(route).flatMap((body) => withOtherIds(body, { outletId: 'O1', outletIds: 'O1' }));
    expect(faults.length).toBeGreaterThan(0);
    for (const [i, fault] of faults.entries()) {
      const url = `/v1/marinas/north/dock-events/foreign-${i}`;
      const body = JSON.parse(fault.text);
      const reply = await call(server.app, server.tokens.harbormaster, 'PUT', url, { body });
      if (reply.status === 201) expect(reply.body.contradictions, fault.name).not.toEqual([]);
      else expect(complaintOf(reply), fault.name).toBeNull();
    }
    expect(await seqOfSouth()).toEqual(was);
    before = await contents();
  },
);

test.each(withBody.filter(({ route }) => route.url.includes(':marinaId') && !isReport(route)))(
  "$name: another marina's ids in the body are refused",
  async ({ route }) => {
    const south = ids.south;
    const others = {
      berthId: 'S1',
      dedicatedBerthId: 'S1',
      unitId: 'S1',
      unitIds: 'S1',
      outletId: 'O1',
      outletIds: 'O1',
      dockId: 'dock',
      fedById: 'feeder',
      parentId: 'feeder',
      pedestalId: 'P1',
      boatId: south.boats ?? '',
      stayId: south.stays ?? '',
    };
    for (const fault of soundBodies(route).flatMap((body) => withOtherIds(body, others))) {
      await refused(route, { payload: fault.text }, fault.name);
    }
    await expectRefusedAndUnchanged();
  },
);

describe('headers', () => {
  const changes = named.filter(({ route }) => route.ifMatch || route.idempotent);
  test.each(changes)('$name: an If-Match or Idempotency-Key that cannot be is refused', async ({ route }) => {
    const [body] = route.body === undefined ? [undefined] : soundBodies(route);
    const payload = body === undefined ? undefined : JSON.stringify(body);
    const ifMatches = route.ifMatch ? ['', '1', 'W/"1"', '"x"', '"-1"', '"99999999999999999999"', '"1" OR 1=1'] : [];
    for (const value of ifMatches) {
      await refused(route, { payload, headers: { 'if-match': value } }, `If-Match: ${value}`);
    }
    const keys = route.idempotent ? ['', ' ', 'a b', 'a'.repeat(201), 'a\u00e9', '"'] : [];
    for (const value of keys) {
      await refused(route, { payload, headers: { 'idempotency-key': value } }, `Idempotency-Key: ${value}`);
    }
    await expectRefusedAndUnchanged();
  });
});

// Last: what is text may be any text. It is stored as it is, or refused, and the tables are all still there.
test.each(withBody)('$name: HTML and SQL in texts are refused, or come back as the same text', async ({ route }) => {
  for (const text of hostileTexts) {
    for (const body of soundBodies(route)) {
      const changed = withText(body, text, (tried) => route.body?.safeParse(tried).success === true);
      if (changed === body) continue;
      const reply = await send(route, { payload: JSON.stringify(changed) });
      if (reply.status >= 400) expect(complaintOf(reply), text).toBeNull();
      else if (route.url.includes(':marinaId')) {
        const { rows } = await server.db.pool.query<{ after: unknown }>(
          "SELECT after FROM change WHERE marina_id = 'north' ORDER BY seq DESC LIMIT 1",
        );
        expect(JSON.stringify([rows, reply.body])).toContain(JSON.stringify(text).slice(1, -1));
      }
      expect(reply.headers['content-type']).toMatch(/^application\/(problem\+)?json; charset=utf-8$/);
    }
  }
  expect(Object.keys(await contents())).toEqual(Object.keys(before));
});

const encoded = (value: unknown) => Buffer.from(JSON.stringify(value)).toString('base64url');
const brokenCursors = [
  '',
  'x',
  '%00',
  '....',
  encoded(null),
  encoded({}),
  encoded([]),
  encoded([null]),
  encoded([[]]),
  encoded([{ a: 1 }]),
  encoded(['a', 'b', 'c', 'd', 'e']),
  encoded([1, 2, 3, 4, 5]),
  encoded(['\u0000']),
  encoded(['\ud800']),
  encoded([1e300, 'a']),
  encoded([-1e300, 'a']),
  encoded([8.64e15, '\u0000']),
  encoded([-8.64e15 - 1, 'a']),
  encoded([-8.64e15, 'a']),
  encoded([8.64e15, 'a']),
  encoded([1.5, "' OR 1=1"]),
  encoded(['2030-02-30T00:00:00Z', 'a']),
  encoded([-1]),
  encoded([1.5]),
  encoded([1e300]),
];

interface Sent {
  readonly url?: string;
  readonly query?: string;
  readonly payload?: string | Buffer | undefined;
  /** Null: none. */
  readonly contentType?: string | null;
  readonly headers?: Readonly<Record<string, string>>;
  readonly token?: string;
}

interface Answer {
  readonly status: number;
  readonly headers: Readonly<Record<string, unknown>>;
  readonly body: unknown;
}

async function send(route: RouteDefinition, sent: Sent): Promise<Answer> {
  const { payload, contentType = 'application/json' } = sent;
  const path = sent.url ?? pathOf(route.url, 'north');
  const answer = await server.app.inject({
    method: route.method,
    url: sent.query === undefined ? path : `${path}?${sent.query}`,
    headers: {
      ...(route.roles === 'public' ? {} : { authorization: `Bearer ${sent.token ?? server.tokens[roleFor(route)]}` }),
      ...(payload === undefined || contentType === null ? {} : { 'content-type': contentType }),
      ...(route.ifMatch ? { 'if-match': '*' } : {}),
      ...sent.headers,
    },
    ...(payload === undefined ? {} : { payload }),
  });
  const isJson = String(answer.headers['content-type']).includes('json');
  return { status: answer.statusCode, headers: answer.headers, body: isJson ? answer.json() : answer.payload };
}

/** What was not refused as it should have been, since the last look. */
const wrong: string[] = [];

async function refused(route: RouteDefinition, sent: Sent, fault: string): Promise<Answer> {
  const reply = await send(route, sent);
  const complaint = complaintOf(reply);
  if (complaint !== null) wrong.push(`${fault}: ${complaint}`);
  return reply;
}

/** Null where it is a problem document with a status from 400 to 499. */
function complaintOf({ status, headers, body }: Answer): string | null {
  const text = JSON.stringify(body) ?? '';
  if (status < 400 || status >= 500) return `answered ${status} ${text.slice(0, 200)}`;
  const type = headers['content-type'];
  if (type !== 'application/problem+json; charset=utf-8') return `answered ${status} as ${type}`;
  // A faulty request is answered in few words, however long it was.
  if (text.length > 100_000) return `answered ${status} with ${text.length} characters`;
  const isProblem =
    /^\/problems\/[a-z-]+$/.test(String(partOf(body, 'type'))) &&
    partOf(body, 'status') === status &&
    typeof partOf(body, 'title') === 'string' &&
    typeof partOf(body, 'detail') === 'string';
  return isProblem ? null : `answered ${status} with no problem document: ${text.slice(0, 200)}`;
}

function roleFor({ roles }: RouteDefinition): Role {
  return roles === 'public' ? 'viewer' : (roles[0] ?? 'viewer');
}

function pathOf(url: string, marina: 'north' | 'south'): string {
  const parts = url.split('/');
  return parts
    .map((part, i) => {
      if (part === ':marinaId') return marina;
      return part.startsWith(':') ? (ids[marina][parts[i - 1] ?? ''] ?? 'x') : part;
    })
    .join('/');
}

function isCollectionPut({ method, url }: RouteDefinition): boolean {
  return method === 'PUT' && url.endsWith('/:id');
}

/** The route's example, and a body with every field filled: faults are put into both. Each is sound but for its ids. */
function soundBodies({ body, example, operationId }: RouteDefinition): unknown[] {
  if (body === undefined) return [];
  let filled = exampleOf(inputSchema(body));
  // What depends on another field is taken from the example, or left out.
  for (let attempt = 0; attempt < 5; attempt++) {
    for (const { path } of body.safeParse(filled).error?.issues ?? []) {
      const steps = path.map((step) => (typeof step === 'symbol' ? '' : step));
      filled = replaced(filled, steps, steps.reduce<unknown>(partOf, example));
    }
    filled = JSON.parse(JSON.stringify(filled));
  }
  const sound = [...(example === undefined ? [] : [example]), filled].filter((each) => body.safeParse(each).success);
  if (sound.length === 0) throw new Error(`Give ${operationId} an example: none can be made from its schema.`);
  return sound;
}

function partOf(value: unknown, step: string | number): unknown {
  return typeof value === 'object' && value !== null ? Reflect.get(value, step) : undefined;
}

function queryFields({ query }: RouteDefinition) {
  const properties = query === undefined ? {} : inputSchema(query).properties;
  return Object.entries(isSchema(properties) ? properties : {}).map(([name, field]) => {
    const { type, format } = isSchema(field) ? field : {};
    return { name, type, isInstant: format === 'date-time', isDay: format === 'date' };
  });
}

/** A digest of every table: whatever is stored, changed or removed shows. */
async function contents(): Promise<Record<string, string>> {
  const { rows: tables } = await server.db.pool.query<{ name: string }>(
    "SELECT table_name AS name FROM information_schema.tables WHERE table_schema = 'public' ORDER BY 1",
  );
  const digests = tables.map(
    ({ name }) =>
      `SELECT '${name}' AS name, count(*) || ' ' || coalesce(md5(string_agg(t::text, '' ORDER BY t::text)), '') AS digest FROM "${name}" t`,
  );
  const { rows } = await server.db.pool.query<{ name: string; digest: string }>(
    `${digests.join(' UNION ALL ')} ORDER BY name`,
  );
  return Object.fromEntries(rows.map(({ name, digest }) => [name, digest]));
}

async function expectRefusedAndUnchanged(): Promise<void> {
  const accepted = wrong.splice(0);
  const [was, now] = [before, await contents()];
  before = now;
  expect(accepted).toEqual([]);
  expect(now).toEqual(was);
}

async function putRowOfSlips(): Promise<void> {
  const path = '/v1/marinas/south/inventory';
  const body = { ...rowOfSlips({ slips: 3, stepDowns: 1 }), name: 'South Quay' };
  const reply = await call(server.app, server.foreignTokens.manager, 'PUT', path, {
    body,
    headers: { 'if-match': '*' },
  });
  expect(reply).toMatchObject({ status: 200 });
}

/** One of everything that has an id: a stay on a berth, a holding with an absence, a closing, a token. */
async function makeThings(
  marina: string,
  tokens: TestServer['tokens'],
  stayAt: string,
  heldBerth: string,
  closedOutlet: string,
): Promise<Record<string, string>> {
  const post = async (role: Role, path: string, body: unknown) => {
    const reply = await call(server.app, tokens[role], 'POST', `/v1/marinas/${marina}/${path}`, { body });
    expect(reply.status, JSON.stringify(reply.body)).toBeLessThan(300);
    return reply.body;
  };
  const { stay } = await post('harbormaster', 'stays', {
    name: 'J. Lindqvist',
    boatName: 'Marigold',
    lengthOverallM: 9,
    beamM: 3,
    draftM: 1.2,
    hull: 'monohull',
    arrival: '2030-06-14',
    departure: '2030-06-16',
    plug: '30 A',
  });
  const assignment = await post('harbormaster', `stays/${stay.id}/assign`, { berthId: stayAt });
  const holding = await post('harbormaster', 'holdings', {
    berthId: heldBerth,
    holderName: 'R. Calloway',
    from: '2030-04-01T00:00:00-05:00',
    until: null,
    outlets: [],
  });
  const absence = await post('harbormaster', `holdings/${holding.id}/absences`, {
    from: '2030-07-01T12:00:00-05:00',
    until: '2030-07-15T12:00:00-05:00',
  });
  const closing = await post('harbormaster', 'out-of-service', {
    outletId: closedOutlet,
    from: '2030-06-10T07:30:00-05:00',
    reason: 'scorched contacts',
  });
  const token = await post('manager', 'tokens', { name: 'Phone', role: 'viewer' });
  return {
    boats: stay.boatId,
    stays: stay.id,
    assignments: assignment.id,
    holdings: holding.id,
    absences: absence.id,
    'out-of-service': closing.id,
    tokens: token.id,
  };
}
