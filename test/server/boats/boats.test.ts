import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { call, type TestServer } from '../../support/server.ts';
import { hours, placeTransient, startMarina } from '../occupancy/fixture.ts';

let server: TestServer;
beforeAll(async () => {
  server = await startMarina();
});
afterAll(() => server.close());

const by = (origin: string) => ({ origin });
const phone = by('phone');
const ambiguous = { id: 'I1', configurationIds: { value: ['SS1-50', 'SS2-50'], ...phone } };
const enter = (body: unknown, headers = {}) => server.call('harbormaster', 'POST', '/boats', { body, headers });
const state = (boatId: string, body: unknown) => server.call('dockhand', 'PATCH', `/boats/${boatId}/facts`, { body });

describe('a boat', () => {
  it('keeps who stated each fact and when; what nobody stated is null', async () => {
    const at = '2030-06-09T18:30:00-05:00';
    const created = await enter({
      name: 'Marigold',
      lengthOverallM: { value: 12.8, ...phone, at },
      inlets: [ambiguous],
    });
    expect(created.status).toBe(201);
    expect(created.body).toMatchObject({
      name: 'Marigold',
      lengthOverallM: { value: 12.8, origin: 'phone', at: '2030-06-09T23:30:00.000Z' },
      beamM: null,
      cordSets: null,
      inlets: [{ id: 'I1', configurationIds: { value: ['SS1-50', 'SS2-50'], at: hours(0) }, mainBreakerA: null }],
      version: 1,
      retiredAt: null,
    });
    const read = await server.call('viewer', 'GET', `${created.headers.location}`);
    expect(read.body).toEqual(created.body);
    expect(read.headers.etag).toBe('"1"');
  });

  it('that the data holds as no schema would have let in is our fault, not that of who asks', async () => {
    const { body } = await enter({ name: 'Broken' });
    await server.db.pool.query(`UPDATE boat SET facts = '{}' WHERE id = $1`, [body.id]);
    const read = await server.call('viewer', 'GET', `/boats/${body.id}`);
    expect(read).toMatchObject({ status: 500, body: { type: '/problems/internal' } });
    await server.db.pool.query('DELETE FROM boat WHERE id = $1', [body.id]);
  });

  it('is entered once, however often the request is sent', async () => {
    const headers = { 'idempotency-key': 'boat-1' };
    const first = await enter({ name: 'Once' }, headers);
    expect((await enter({ name: 'Once' }, headers)).body).toEqual(first.body);
    expect((await enter({ name: 'Twice' }, headers)).status).toBe(422);
    expect((await server.call('viewer', 'GET', '/boats?name=once')).body.items).toHaveLength(1);
  });

  it('takes single facts from the dock: the last stands, and the change shows both', async () => {
    const { body: boat } = await enter({ name: 'Petrel', beamM: { value: 4, ...phone }, inlets: [ambiguous] });
    server.clock.now += 1_000;
    const confirmed = { id: 'I1', configurationIds: { value: ['SS2-50'], ...by('dockhand') } };
    const added = { id: 'I2', duty: { value: 'airConditioning', ...by('dockhand') } };
    const changed = await state(boat.id, { inlets: [confirmed, added], draftM: { value: 1.5, ...by('dockhand') } });
    expect(changed.status).toBe(200);
    expect(changed.body).toMatchObject({
      beamM: boat.beamM,
      draftM: { value: 1.5, origin: 'dockhand' },
      inlets: [
        { id: 'I1', configurationIds: { value: ['SS2-50'], origin: 'dockhand' } },
        { id: 'I2', configurationIds: null, duty: { value: 'airConditioning' } },
      ],
      version: 2,
    });
    expect(Date.parse(changed.body.draftM.at) - Date.parse(boat.beamM.at)).toBe(1_000);
    expect((await state(boat.id, { draftM: null })).body.draftM).toBeNull();
    const changes = await server.call('viewer', 'GET', '/changes?limit=200');
    const last = changes.body.items.filter(({ kind }: { kind: string }) => kind === 'boat.factsChanged')[0];
    expect(last.before).toEqual(boat);
    expect(last.after).toEqual(changed.body);
  });

  it('is replaced by whoever knows its present version', async () => {
    const { body: boat } = await enter({ name: 'Kestrel', beamM: { value: 4, ...phone } });
    const put = (etag: string | null) =>
      server.call('harbormaster', 'PUT', `/boats/${boat.id}`, {
        body: { name: 'Kestrel II' },
        headers: etag === null ? {} : { 'if-match': etag },
      });
    expect((await put(null)).status).toBe(428);
    expect((await put('"7"')).status).toBe(412);
    expect((await put('"1"')).body).toMatchObject({ name: 'Kestrel II', beamM: null, version: 2 });
    expect((await put('"1"')).status).toBe(412);
  });

  it('is retired only when no stay and no holding needs it any more', async () => {
    await placeTransient(server, { id: 'Rook', berthId: 'A1', from: 24, until: 48 });
    await placeTransient(server, { id: 'Gone', berthId: 'A1', from: -48, until: -24, state: 'departed' });
    const { body: held } = await enter({ name: 'Held' });
    const holding = { berthId: 'A2', holderName: 'Abney', boatId: held.id, from: hours(0) };
    expect((await server.call('harbormaster', 'POST', '/holdings', { body: holding })).status).toBe(201);
    const retire = (boatId: string) => server.call('harbormaster', 'DELETE', `/boats/${boatId}`);
    expect(await retire('boat-Rook')).toMatchObject({ status: 409, body: { type: '/problems/in-use' } });
    expect(await retire(held.id)).toMatchObject({ status: 409, body: { type: '/problems/in-use' } });
    expect((await retire('boat-Gone')).status).toBe(204);
    expect((await retire('boat-Gone')).status).toBe(409);
    expect((await server.call('viewer', 'GET', '/boats?name=Gone')).body.items).toEqual([]);
    expect((await server.call('viewer', 'GET', '/boats/boat-Gone')).body.retiredAt).not.toBeNull();
  });
});

describe('the list of boats', () => {
  it('is found by the beginning of a name, letter case and wildcards aside', async () => {
    for (const name of ['Zoë', 'Tern one', 'TERN two', 'Lantern', 'T%n', 'T_n']) await enter({ name });
    const names = async (query: string) => {
      const reply = await server.call('viewer', 'GET', `/boats?name=${encodeURIComponent(query)}`);
      return reply.body.items.map(({ name }: { name: string }) => name).sort();
    };
    expect(await names('tern')).toEqual(['TERN two', 'Tern one']);
    expect(await names('t%')).toEqual(['T%n']);
    expect(await names('T_')).toEqual(['T_n']);
  });

  it('is read in pages that miss and repeat nothing', async () => {
    const seen: string[] = [];
    let path: string | undefined = '/boats?limit=2';
    while (path !== undefined) {
      const page = await server.call('viewer', 'GET', path);
      seen.push(...page.body.items.map(({ id }: { id: string }) => id));
      path = /<(.*)>; rel="next"/.exec(`${page.headers.link ?? ''}`)?.[1];
    }
    const rows = await server.db.prisma.boat.findMany({ where: { marinaId: 'north', retiredAt: null } });
    // By name, letter case aside, each boat once; like names by id.
    const places = rows.map(({ id, name }) => [name.toLowerCase(), id] as const).sort((a, b) => (a < b ? -1 : 1));
    expect(seen).toEqual(places.map(([, id]) => id));
    expect((await server.call('viewer', 'GET', '/boats?cursor=nonsense')).status).toBe(400);
  });
});

describe('what does not make a boat', () => {
  it('is refused by its place, and nothing is stored', async () => {
    const fact = (value: unknown) => ({ value, ...phone });
    const faults: [object, string][] = [
      [{}, '/name'],
      [{ name: '  ' }, '/name'],
      [{ name: 'x'.repeat(1_000_000) }, '/name'],
      [{ name: 'two\nlines' }, '/name'],
      [{ name: 'Nul \u0000' }, '/name'],
      [{ colour: 'red' }, '/colour'],
      [{ lengthOverallM: 12 }, '/lengthOverallM'],
      [{ lengthOverallM: fact('12') }, '/lengthOverallM/value'],
      [{ lengthOverallM: fact(-1) }, '/lengthOverallM/value'],
      [{ lengthOverallM: { value: 12, origin: 'rumour' } }, '/lengthOverallM/origin'],
      [{ lengthOverallM: { value: 12, ...phone, at: '2026-02-30T00:00:00Z' } }, '/lengthOverallM/at'],
      [{ inlets: [ambiguous, ambiguous] }, '/inlets/1/id'],
      [{ inlets: [{ id: 'I1', configurationIds: fact(['L5-31']) }] }, '/inlets/0/configurationIds/value/0'],
      [{ adapterKindIds: fact(['home-made']) }, '/adapterKindIds/value/0'],
      [{ appliances: fact([{ name: 'Stove', loadVa: 1500, inletId: 'I9' }]) }, '/appliances/value/0/inletId'],
    ];
    const before = await server.db.prisma.boat.count();
    for (const [body, pointer] of faults) {
      const reply = await enter({ ...('name' in body || pointer === '/name' ? {} : { name: 'Fault' }), ...body });
      expect(reply.status, pointer).toBe(400);
      expect(reply.body.errors).toMatchObject([{ in: 'body', pointer }]);
    }
    expect(await server.db.prisma.boat.count()).toBe(before);
  });

  it('is named by its place in a change too', async () => {
    const { body: boat } = await enter({ name: 'Heron', inlets: [ambiguous] });
    const unknown = { id: 'I2', configurationIds: { value: ['L5-31'], ...by('dockhand') } };
    expect((await state(boat.id, { inlets: [unknown] })).body.errors).toMatchObject([
      { pointer: '/inlets/0/configurationIds/value/0' },
    ]);
    expect((await state(boat.id, { inlets: [{ id: 'I3' }, { id: 'I3' }] })).status).toBe(400);
    expect((await state(boat.id, { name: 'Egret' })).status).toBe(400);
    expect((await server.call('viewer', 'GET', `/boats/${boat.id}`)).body).toEqual(boat);
  });

  it('comes back as text, whatever it would mean elsewhere', async () => {
    for (const name of [`<script>alert(1)</script>`, `'; DROP TABLE boat; --`, '\u202eevil 🚤']) {
      expect((await enter({ name })).body.name).toBe(name);
    }
  });
});

it('a boat of another marina is not there, and a reader may not write', async () => {
  const { body: boat } = await enter({ name: 'Ours' });
  const foreign = server.foreignTokens.harbormaster;
  const headers = { 'if-match': '*' };
  const path = `/v1/marinas/south/boats/${boat.id}`;
  for (const [method, url, body] of [
    ['GET', path, undefined],
    ['PUT', path, { name: 'Theirs' }],
    ['PATCH', `${path}/facts`, {}],
    ['DELETE', path, undefined],
  ] as const) {
    expect((await call(server.app, foreign, method, url, { body, headers })).status, method).toBe(404);
  }
  expect((await call(server.app, foreign, 'GET', `${server.marina}/boats/${boat.id}`)).status).toBe(404);
  expect((await server.call('viewer', 'PATCH', `/boats/${boat.id}/facts`, { body: {} })).status).toBe(403);
  expect((await server.call('dockhand', 'POST', '/boats', { body: { name: 'No' } })).status).toBe(403);
});
