import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { call as send, type TestServer, testNow } from '../../support/server.ts';
import { hours, placeTransient, startMarina, usesOfOutlet, usesOfUnit } from '../occupancy/fixture.ts';

let server: TestServer;
beforeAll(async () => {
  server = await startMarina();
});
afterAll(() => server.close());

const post = (path: string, body?: object, headers = {}) =>
  server.call('harbormaster', 'POST', path, { ...(body === undefined ? {} : { body }), headers });
const get = (path: string) => server.call('viewer', 'GET', path);
const patch = (stayId: string, etag: string, body: object) =>
  server.call('harbormaster', 'PATCH', `/stays/${stayId}`, { body, headers: { 'if-match': etag } });

async function request(said: object): Promise<string> {
  const facts = { name: 'M. Oduya', lengthOverallM: 9, beamM: 3, draftM: 1, plug: '30 A' };
  const reply = await post('/stays', { ...facts, arrival: '2030-06-20', departure: '2030-06-22', ...said });
  expect(reply.status).toBe(201);
  return reply.body.stay.id;
}

describe('a stay', () => {
  it('changes with its present version alone', async () => {
    const id = await request({});
    const wishes = { dockId: 'dock-a', orientation: 'sternIn' };
    const changed = await patch(id, '"1"', {
      name: 'A. Oduya',
      phone: null,
      departure: '2030-06-23',
      wishes,
      note: 'x',
    });
    expect(changed).toMatchObject({
      status: 200,
      body: {
        name: 'A. Oduya',
        phone: null,
        arrival: '2030-06-20T19:00:00.000Z',
        departure: '2030-06-23T15:00:00.000Z',
        wishes: { dockId: 'dock-a', berthId: null, orientation: 'sternIn', mooring: null },
        version: 2,
      },
    });
    expect((await patch(id, '"1"', { note: 'y' })).status).toBe(412);
    expect((await server.call('harbormaster', 'PATCH', `/stays/${id}`, { body: { note: 'y' } })).status).toBe(428);
    expect((await patch(id, '"2"', { arrival: '2030-06-24' })).status).toBe(400);
    expect((await patch(id, '"2"', { state: 'arrived' })).status).toBe(400);
    expect((await patch(id, '"2"', { wishes: { berthId: 'Z9' } })).body.errors).toMatchObject([
      { pointer: '/wishes/berthId' },
    ]);
    expect((await get(`/stays/${id}`)).body.stay).toEqual(changed.body);
  });

  it('keeps its dates while it has a berth, and is read whole though its own version stays', async () => {
    await placeTransient(server, { id: 'Avocet', berthId: 'A3', from: 100, until: 124 });
    expect(await patch('stay-Avocet', '"1"', { departure: '2030-06-30' })).toMatchObject({
      status: 409,
      body: { type: '/problems/wrong-state' },
    });
    expect((await patch('stay-Avocet', '"1"', { note: 'Quiet berth.' })).status).toBe(200);
    const read = await get('/stays/stay-Avocet');
    expect(read.body.assignments).toMatchObject([{ berthId: 'A3', from: hours(100) }]);
    const fact = { draftM: { value: 1.1, origin: 'dockhand' } };
    await server.call('dockhand', 'PATCH', '/boats/boat-Avocet/facts', { body: fact });
    const headers = { 'if-none-match': '"2"' };
    const again = await server.call('viewer', 'GET', '/stays/stay-Avocet', { headers });
    expect(again).toMatchObject({ status: 200, body: { boat: { draftM: { value: 1.1 } } } });
  });

  it('is cancelled with its berth, its outlets and its claim to be placed, once', async () => {
    await placeTransient(server, { id: 'Brant', berthId: 'A4', from: 50, until: 60, outletIds: ['a2a'] });
    const holding = { berthId: 'A4', holderName: 'Corrigan', from: hours(60), outlets: [{ outletId: 'a2a' }] };
    const held = await post('/holdings', { ...holding, from: hours(61) });
    expect(held.status).toBe(201);
    expect(await usesOfUnit(server, 'A4')).toEqual(['Brant 50-61', 'Corrigan 61-']);
    const headers = { 'idempotency-key': 'cancel-1' };
    const cancelled = await post('/stays/stay-Brant/cancel', undefined, headers);
    expect(cancelled).toMatchObject({ status: 200, body: { state: 'cancelled', version: 2 } });
    expect(await usesOfUnit(server, 'A4')).toEqual(['Corrigan 61-']);
    expect(await usesOfOutlet(server, 'a2a')).toEqual(['Corrigan 61-']);
    expect((await post('/stays/stay-Brant/cancel', undefined, headers)).body).toEqual(cancelled.body);
    expect((await post('/stays/stay-Brant/cancel')).status).toBe(409);
    await placeTransient(server, { id: 'Crake', berthId: 'A4', from: 50, until: 60, outletIds: ['a2a'] });
    expect(await usesOfUnit(server, 'A4')).toEqual(['Crake 50-61', 'Corrigan 61-']);
  });

  it('that used an absence leaves the holder what is theirs and the rest of the absence free', async () => {
    const { body } = await post('/holdings', { berthId: 'A5', holderName: 'Dunne', from: hours(0), until: hours(200) });
    const path = `/holdings/${body.id}/absences`;
    const absence = await post(path, { from: hours(20), until: hours(90) });
    await placeTransient(server, { id: 'Dunlin', berthId: 'A5', from: 30, until: 40 });
    expect((await post(`${path}/${absence.body.id}/recall`, { returnsAt: hours(50) })).status).toBe(200);
    expect(await usesOfUnit(server, 'A5')).toEqual(['Dunne 0-20', 'Dunlin 30-41', 'Dunne 50-200']);
    expect((await post('/stays/stay-Dunlin/cancel')).status).toBe(200);
    expect(await usesOfUnit(server, 'A5')).toEqual(['Dunne 0-20', 'Dunne 50-200']);
  });

  it('that has arrived is not cancelled and not turned away', async () => {
    await placeTransient(server, { id: 'Eider', berthId: 'A2', from: -5, until: 20, state: 'arrived' });
    expect((await post('/stays/stay-Eider/cancel')).status).toBe(409);
    const reasons = [{ note: 'Too late.' }];
    expect((await post('/stays/stay-Eider/turn-away', { reasons })).status).toBe(409);
  });

  it('is turned away with reasons while it has no berth', async () => {
    const id = await request({});
    const reasons = [{ rule: 'space.taken', note: null }];
    expect((await post(`/stays/${id}/turn-away`, { reasons: [] })).status).toBe(400);
    expect(await post(`/stays/${id}/turn-away`, { reasons })).toMatchObject({
      status: 200,
      body: { state: 'turnedAway', turnedAwayReasons: reasons, version: 2 },
    });
    expect((await post(`/stays/${id}/turn-away`, { reasons })).status).toBe(409);
    await placeTransient(server, { id: 'Fulmar', berthId: 'A2', from: 40, until: 50 });
    expect((await post('/stays/stay-Fulmar/turn-away', { reasons })).status).toBe(409);
    expect((await patch(id, '"2"', { departure: '2030-06-24' })).status).toBe(409);
  });

  it('of another marina is not there', async () => {
    const id = await request({});
    const foreign = server.foreignTokens.harbormaster;
    const headers = { 'if-match': '*' };
    const path = `/v1/marinas/south/stays/${id}`;
    for (const [method, url, body] of [
      ['GET', path, undefined],
      ['PATCH', path, { note: 'theirs' }],
      ['POST', `${path}/cancel`, undefined],
      ['POST', `${path}/turn-away`, { reasons: [{ note: 'theirs' }] }],
    ] as const) {
      expect((await send(server.app, foreign, method, url, { body, headers })).status, url).toBe(404);
    }
    expect((await send(server.app, foreign, 'GET', `${server.marina}/arrivals`)).status).toBe(404);
    expect((await get(`/stays/${id}`)).body.stay).toMatchObject({ state: 'requested', version: 1 });
  });
});

describe('the list of stays', () => {
  it('is read in pages by arrival that miss and repeat nothing, equal arrivals included', async () => {
    for (const name of ['1', '2', '3']) await request({ name });
    const seen: string[] = [];
    let path: string | undefined = '/stays?limit=2';
    while (path !== undefined) {
      const page = await get(path);
      expect(page.status).toBe(200);
      seen.push(...page.body.items.map(({ id }: { id: string }) => id));
      path = /<(.*)>; rel="next"/.exec(`${page.headers.link ?? ''}`)?.[1];
    }
    const rows = await server.db.prisma.stay.findMany({ where: { marinaId: 'north' } });
    const inOrder = rows.sort((a, b) => a.arrivalAt.getTime() - b.arrivalAt.getTime() || (a.id < b.id ? -1 : 1));
    expect(seen).toEqual(inOrder.map(({ id }) => id));
    for (const cursor of ['nonsense', Buffer.from('[1e300,"x"]').toString('base64url')]) {
      expect((await get(`/stays?cursor=${cursor}`)).status).toBe(400);
    }
  });

  it('is narrowed by state, by overlap and by need of a berth', async () => {
    const found = { berthId: 'A1', boat: { name: 'Grebe' }, at: hours(70), until: hours(80) };
    await placeTransient(server, { id: 'Knot', berthId: 'A1', from: 72, until: 90 });
    server.clock.now = testNow + 70 * 3_600_000;
    expect((await post('/occupancy-found', found)).status).toBeLessThan(300);
    server.clock.now = testNow;
    const ids = async (query: string) => (await get(`/stays?limit=200&${query}`)).body.items;
    expect((await ids('needsBerth=true')).map(({ id }: { id: string }) => id)).toEqual(['stay-Knot']);
    expect((await ids('needsBerth=false')).length).toBeGreaterThan(0);
    const overlapping = await ids(`from=${hours(20)}&until=${hours(41)}`);
    expect(overlapping.map(({ id }: { id: string }) => id)).toEqual(['stay-Dunlin', 'stay-Fulmar']);
    expect((await ids(`state=arrived&until=${hours(0)}`)).map(({ id }: { id: string }) => id)).toEqual(['stay-Eider']);
    expect((await get('/stays?state=lost')).status).toBe(400);
    expect((await post('/stays/stay-Knot/cancel')).body.needsBerth).toBeNull();
  });
});
