import fastify, { type FastifyInstance } from 'fastify';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { z } from 'zod';
import { buildApp } from '../../server/app.ts';
import { marinaTransaction } from '../../server/db/marina-transaction.ts';
import { everyRole } from '../../server/http/access.ts';
import { marinaParams } from '../../server/http/fields.ts';
import { serialiserSchema } from '../../server/http/json-schema.ts';
import { registerRoutes } from '../../server/http/register-routes.ts';
import { defineRoute } from '../../server/http/route.ts';
import { requireVersion } from '../../server/http/version.ts';
import { addAuthentication } from '../../server/plugins/authentication.ts';
import { addErrorHandler } from '../../server/plugins/error-handler.ts';
import { type CallOptions, call, startTestServer, type TestServer } from '../support/server.ts';

let server: TestServer;
/** The real plugins around routes that exist only here. */
let app: FastifyInstance;
let version = 1;
let effects = 0;

const body = z.strictObject({ note: z.string().max(100) });
const versioned = z.strictObject({ version: z.int() });
const shape = { tag: 'Test', roles: everyRole, params: marinaParams, summary: 'Test' };
const routes = [
  defineRoute({
    ...shape,
    method: 'GET',
    url: '/v1/marinas/:marinaId/thing',
    operationId: 'readThing',
    response: { 200: versioned },
  }).handle(async () => ({ status: 200, body: { version }, version })),
  defineRoute({
    ...shape,
    method: 'PUT',
    url: '/v1/marinas/:marinaId/thing',
    operationId: 'putThing',
    body,
    ifMatch: true,
    response: { 200: versioned },
  }).handle(async ({ ifVersion }) => {
    requireVersion(ifVersion, version, 'The thing');
    version += 1;
    return { status: 200, body: { version }, version };
  }),
  defineRoute({
    ...shape,
    method: 'POST',
    url: '/v1/marinas/:marinaId/thing',
    operationId: 'addThing',
    body,
    idempotent: true,
    response: { 201: z.strictObject({ seq: z.int(), note: z.string() }) },
  }).handle(async ({ principal, params, body, idempotency, now }, { db }) => {
    const options = { marinaId: params.marinaId, actor: principal.id, kind: 'thing.added', now, idempotency };
    const result = await marinaTransaction(db, options, async ({ recordChange, seq }) => {
      effects += 1;
      await recordChange(null, body);
      return { seq, note: body.note };
    });
    return { status: 201, body: result };
  }),
  defineRoute({
    ...shape,
    method: 'DELETE',
    url: '/v1/marinas/:marinaId/thing',
    operationId: 'breakThing',
    response: { 200: versioned },
  }).handle(async (_input, { db }) => {
    await db.pool.query('SELECT secret_column FROM secret_table');
    return { status: 200, body: { version } };
  }),
];

beforeAll(async () => {
  server = await startTestServer();
  app = fastify({ logger: { level: 'silent' } });
  addErrorHandler(app, async () => {
    throw new Error('nothing here asks for a page');
  });
  addAuthentication(app, server.services, async () => {});
  registerRoutes(app, routes, server.services);
});
afterAll(async () => {
  await app.close();
  await server.close();
});

const send = (method: string, options: CallOptions = {}, role: 'viewer' | 'manager' = 'manager') =>
  call(app, server.tokens[role], method, `${server.marina}/thing`, options);

describe('versions', () => {
  test('a read gives an ETag, and 304 without a body to whoever has it', async () => {
    const read = await send('GET');
    expect(read.headers.etag).toBe(`"${version}"`);
    const again = await send('GET', { headers: { 'if-none-match': `W/${read.headers.etag}` } });
    expect(again).toMatchObject({ status: 304, body: '' });
    expect((await send('GET', { headers: { 'if-none-match': '"0"' } })).status).toBe(200);
  });

  test('a change without If-Match is 428, with a stale or weak one 412, with the present one done', async () => {
    const put = (headers: Record<string, string>) => send('PUT', { body: { note: 'x' }, headers });
    const before = version;
    expect(await put({})).toMatchObject({ status: 428, body: { type: '/problems/version-required' } });
    expect(await put({ 'if-match': '"0"' })).toMatchObject({ status: 412, body: { type: '/problems/stale-version' } });
    expect((await put({ 'if-match': `W/"${version}"` })).status).toBe(412);
    expect(version).toBe(before);
    expect((await put({ 'if-match': `"0", "${version}"` })).headers.etag).toBe(`"${before + 1}"`);
  });
});

describe('Idempotency-Key', () => {
  const post = (key: string, note: string, role: 'viewer' | 'manager' = 'manager') =>
    send('POST', { body: { note }, headers: { 'idempotency-key': key } }, role);

  test('the same request has one effect and one answer', async () => {
    const before = effects;
    const first = await post('key-1', 'x');
    expect(first.status).toBe(201);
    expect(await post('"key-1"', 'x')).toMatchObject({ status: 201, body: first.body });
    expect(effects).toBe(before + 1);
  });

  test('another body under the key is refused, another token has keys of its own', async () => {
    expect((await post('key-2', 'x')).status).toBe(201);
    expect(await post('key-2', 'y')).toMatchObject({ status: 422, body: { type: '/problems/key-reused' } });
    expect((await post('key-2', 'y', 'viewer')).status).toBe(201);
  });

  test.each(['', 'a b', 'x'.repeat(201), 'é'])('the key "%s" is not usable', async (key) => {
    expect(await post(key, 'x')).toMatchObject({ status: 400, body: { type: '/problems/invalid-input' } });
  });

  test('a POST that cannot honour it says so', async () => {
    const headers = { 'idempotency-key': 'k' };
    const answer = await server.call('manager', 'POST', '/tokens', { body: { name: 'A', role: 'viewer' }, headers });
    expect(answer).toMatchObject({ status: 400, body: { errors: [{ in: 'header', pointer: '/idempotency-key' }] } });
  });
});

test('what nobody foresaw is 500 with an id, and without a word of the database', async () => {
  const answer = await send('DELETE');
  expect(answer).toMatchObject({ status: 500, body: { type: '/problems/internal', requestId: expect.any(String) } });
  expect(JSON.stringify(answer.body)).not.toMatch(/secret|SELECT|\.ts/);
});

describe('the rate limit', () => {
  test('counts each token for itself, and refused tokens by their address', async () => {
    const limited = await buildApp(server.services, { logLevel: 'silent', rateLimitPerMinute: 3, trustProxy: false });
    const get = (token: string) => call(limited, token, 'GET', `${server.marina}/changes`);
    const statuses = async (token: string, times: number) => {
      const seen: number[] = [];
      for (let n = 0; n < times; n++) seen.push((await get(token)).status);
      return seen;
    };
    expect(await statuses(server.tokens.viewer, 4)).toEqual([200, 200, 200, 429]);
    expect(await statuses(server.tokens.manager, 1)).toEqual([200]);
    expect(await statuses(`qw_${'y'.repeat(43)}`, 4)).toEqual([401, 401, 401, 429]);
    const refused = await get(server.tokens.viewer);
    expect(refused.body.type).toBe('/problems/too-many-requests');
    expect(Number(refused.headers['retry-after'])).toBeGreaterThan(0);
    await limited.close();
  });
});

describe('the serialiser', () => {
  // The fast way is held against the plain one: zod's own parse and JSON.stringify.
  const schema = z.strictObject({
    text: z.string(),
    maybe: z.string().nullable(),
    count: z.int().nullable(),
    figure: z.number(),
    kind: z.enum(['slip', 'face']).nullable(),
    when: z.iso.datetime({ offset: true }),
    left: z.string().optional(),
    inner: z.strictObject({ lengthM: z.number().nullable() }).nullable(),
    list: z.array(z.strictObject({ id: z.string(), on: z.boolean() })).nullable(),
    either: z.discriminatedUnion('type', [
      z.strictObject({ type: z.literal('a'), a: z.number() }),
      z.strictObject({ type: z.literal('b'), b: z.string().nullable() }),
    ]),
    named: z.record(z.string(), z.number()),
    free: z.unknown(),
    mixed: z.union([z.number(), z.string()]).nullable(),
  });
  const when = '2030-06-10T12:00:00+02:00';
  const full = {
    text: 'Quay "ä" \\ </script> \u2028',
    maybe: 'x',
    count: 3,
    figure: 0.1 + 0.2,
    kind: 'face',
    when,
    left: 'here',
    inner: { lengthM: 1e-7 },
    list: [{ id: '1', on: true }],
    either: { type: 'b', b: null },
    named: { a: 1, b: 2.5 },
    free: { any: [1, 'two', null] },
    mixed: 'text',
  };
  const bare = {
    ...{ text: '', maybe: null, count: null, figure: -0.5, kind: null, when, inner: null, list: null },
    ...{ either: { type: 'a', a: 1e21 }, named: {}, free: null, mixed: null },
  };

  test.each([
    ['full', full],
    ['bare', bare],
  ])('writes what the schema says: %s', async (_name, value) => {
    const plain = fastify();
    plain.get('/', { schema: { response: { 200: serialiserSchema(schema) } } }, async () => ({
      ...value,
      secret: 'x',
    }));
    const answer = await plain.inject('/');
    expect(answer.json()).toEqual(JSON.parse(JSON.stringify(schema.parse(value))));
    await plain.close();
  });
});
