import { afterAll, afterEach, beforeAll, describe, expect, it } from 'vitest';
import { type TestServer, testNow } from '../../support/server.ts';
import { hours, startMarina, usesOfOutlet, usesOfUnit } from '../occupancy/fixture.ts';

let server: TestServer;
beforeAll(async () => {
  server = await startMarina();
});
afterAll(() => server.close());
afterEach(() => {
  server.clock.now = testNow;
});

const hourMs = 3_600_000;
const post = (path: string, body?: object, headers = {}) =>
  server.call('harbormaster', 'POST', path, { ...(body === undefined ? {} : { body }), headers });
const get = (path: string) => server.call('viewer', 'GET', path);
const stayOf = async (id: string) => (await get(`/stays/${id}`)).body;

/** A stay of which everything is known, in hours after the test clock's start; each test has a time of its own. */
async function request(boatName: string, from: number, until: number, said: object = {}): Promise<string> {
  const facts = { lengthOverallM: 9, beamM: 3, hull: 'monohull', draftM: 1, plug: '30 A', airConditioning: false };
  const call = { name: 'M. Oduya', boatName, arrival: hours(from), departure: hours(until), ...facts, ...said };
  const reply = await post('/stays', call);
  expect(reply.status).toBe(201);
  return reply.body.stay.id;
}

/** The best free berths of a stay that give it power. */
async function freeBerths(stayId: string): Promise<string[]> {
  const { body } = await get(`/stays/${stayId}/berth-options?options=200`);
  type Option = { connection: unknown; berthId: string };
  return body.options.flatMap(({ connection, berthId }: Option) => (connection === null ? [] : [berthId]));
}

async function assigned(boatName: string, from: number, until: number) {
  const id = await request(boatName, from, until);
  const [berthId = ''] = await freeBerths(id);
  const reply = await post(`/stays/${id}/assign`, { berthId });
  expect(reply.status).toBe(200);
  return { id, berthId, assignment: reply.body };
}

async function unitOf(berthId: string): Promise<string> {
  const { body } = await get('/inventory');
  return body.berths.find(({ id }: { id: string }) => id === berthId).unitIds[0];
}

describe('extending and shortening', () => {
  it('keeps berth, outlets and the assignment itself, for longer', async () => {
    const { id, berthId, assignment } = await assigned('Avocet', 100, 120);
    const [outletId = ''] = assignment.power.outletIds;
    const longer = await post(`/stays/${id}/reschedule`, { departure: hours(140) });
    expect(longer).toMatchObject({
      status: 200,
      body: {
        stay: { state: 'promised', arrival: hours(100), departure: hours(140) },
        assignments: [{ id: assignment.id, berthId, from: hours(100), until: hours(140), occupiedUntil: hours(141) }],
      },
    });
    expect(longer.body.assignments[0].power.outletIds).toEqual([outletId]);
    expect(await usesOfUnit(server, await unitOf(berthId))).toEqual(['Avocet 100-141']);
    expect(await usesOfOutlet(server, outletId)).toEqual(['Avocet 100-140']);
    const shorter = await post(`/stays/${id}/reschedule`, { departure: hours(110) });
    expect(shorter.body.assignments).toMatchObject([{ id: assignment.id, until: hours(110) }]);
    expect(await usesOfUnit(server, await unitOf(berthId))).toEqual(['Avocet 100-111']);
    expect(await usesOfOutlet(server, outletId)).toEqual(['Avocet 100-110']);
    const shifted = await post(`/stays/${id}/reschedule`, { arrival: hours(120), departure: hours(125) });
    expect(shifted.body.assignments).toMatchObject([{ id: assignment.id, from: hours(120), until: hours(125) }]);
    expect(await usesOfUnit(server, await unitOf(berthId))).toEqual(['Avocet 120-126']);
    expect((await post(`/stays/${id}/cancel`)).status).toBe(200);
  });

  it('is refused with findings and other berths where the next boat has the berth, and changes nothing', async () => {
    const { id, berthId } = await assigned('Brant', 200, 220);
    const next = await request('Next', 222, 240);
    expect((await post(`/stays/${next}/assign`, { berthId })).status).toBe(200);
    const before = await stayOf(id);
    const reply = await post(`/stays/${id}/reschedule`, { departure: hours(230) });
    expect(reply).toMatchObject({ status: 409, body: { type: '/problems/refused' } });
    expect(reply.body.findings).toContainEqual(expect.objectContaining({ rule: 'space.taken', level: 'refuse' }));
    expect(reply.body.alternatives.length).toBeGreaterThan(0);
    expect(reply.body.alternatives.map((option: { berthId: string }) => option.berthId)).not.toContain(berthId);
    expect(await stayOf(id)).toEqual(before);
    // The turnover hour counts: an hour before the next boat is the latest departure.
    expect((await post(`/stays/${id}/reschedule`, { departure: hours(221) })).status).toBe(200);
    expect((await post(`/stays/${id}/reschedule`, { departure: hours(222) })).status).toBe(409);
  });

  it('moves the end of a boat that lies here, whose arrival is history', async () => {
    const { id, assignment } = await assigned('Crake', 1, 30);
    server.clock.now = testNow + 2 * hourMs;
    expect((await post(`/stays/${id}/arrive`)).body).toMatchObject({ state: 'arrived', arrival: hours(1) });
    server.clock.now = testNow + 10 * hourMs;
    expect((await post(`/stays/${id}/reschedule`, { arrival: hours(3) })).status).toBe(400);
    const longer = await post(`/stays/${id}/reschedule`, { departure: hours(40) });
    expect(longer.body.assignments).toMatchObject([{ id: assignment.id, from: hours(1), until: hours(40) }]);
    expect((await post(`/stays/${id}/depart`)).body).toMatchObject({ state: 'departed', departure: hours(10) });
    expect(await usesOfUnit(server, await unitOf(assignment.berthId))).toContain('Crake 1-11');
  });

  it('moves the dates of a request without a berth', async () => {
    const id = await request('Dunlin', 100, 120);
    expect((await post(`/stays/${id}/reschedule`, { arrival: hours(90) })).body).toMatchObject({
      stay: { arrival: hours(90), departure: hours(120), state: 'requested' },
      assignments: [],
    });
    expect((await post(`/stays/${id}/reschedule`, { arrival: hours(130) })).status).toBe(400);
    expect((await post(`/stays/${id}/reschedule`, {})).status).toBe(400);
  });
});

describe('arrival, departure and no-show', () => {
  it('an early boat is judged from when it came, and told where the berth is not free yet', async () => {
    const { id, berthId } = await assigned('Eider', 6, 30);
    const reply = await post(`/stays/${id}/arrive`);
    expect(reply).toMatchObject({ status: 200, body: { state: 'arrived', arrival: hours(0) } });
    expect((await stayOf(id)).assignments).toMatchObject([{ berthId, from: hours(0), until: hours(30) }]);
    server.clock.now = testNow + hourMs;
    await post(`/stays/${id}/depart`);

    const first = await request('First', 5, 20);
    await post(`/stays/${first}/assign`, { berthId });
    const second = await request('Second', 22, 40);
    await post(`/stays/${second}/assign`, { berthId });
    server.clock.now = testNow + 18 * hourMs;
    const early = await post(`/stays/${second}/arrive`);
    expect(early).toMatchObject({ status: 409, body: { type: '/problems/refused' } });
    expect((await stayOf(second)).stay.state).toBe('promised');
    await post(`/stays/${first}/cancel`);
    await post(`/stays/${second}/cancel`);
  });

  it('before its time, with facts that ask for other outlets, leaves two assignments, both told and undone', async () => {
    // While nobody knows its plug, an outlet is kept for it.
    const id = await request('Garganey', 6, 30, { plug: null });
    const { body: options } = await get(`/stays/${id}/berth-options`);
    const { berthId } = options.options.find(({ outletIds }: { outletIds: string[] }) => outletIds.length > 0);
    const { body: assignment } = await post(`/stays/${id}/assign`, { berthId });
    const { boat, assignments: promised, stay } = await stayOf(id);
    server.clock.now = testNow + 8 * hourMs;
    const facts = { wantsPower: { value: false, origin: 'dockhand' } };
    expect((await server.call('dockhand', 'PATCH', `/boats/${boat.id}/facts`, { body: facts })).status).toBe(200);
    // It came an hour before its time, which was two hours ago.
    expect((await post(`/stays/${id}/arrive`, { at: hours(5) })).body).toMatchObject({ arrival: hours(5) });
    const { assignments } = await stayOf(id);
    expect(assignments).toMatchObject([
      { id: assignment.id, berthId, from: hours(5), until: hours(8) },
      { berthId, from: hours(8), until: hours(30), power: { outletIds: [] } },
    ]);
    const { rows } = await server.db.pool.query(
      `SELECT seq::int, before, after FROM change WHERE kind = 'stay.arrived' ORDER BY seq DESC LIMIT 1`,
    );
    const idsOf = (items: readonly { readonly id: string }[]) => items.map((each) => each.id);
    expect(idsOf(rows[0].before.assignments)).toEqual([assignment.id]);
    expect(idsOf(rows[0].after.assignments)).toEqual(idsOf(assignments));

    expect((await post(`/changes/${rows[0].seq}/undo`)).status).toBe(200);
    const undone = await stayOf(id);
    expect(undone.stay).toMatchObject({ state: stay.state, arrival: hours(6) });
    expect(undone.assignments).toMatchObject([{ id: assignment.id, from: hours(6), until: hours(30) }]);
    expect(undone.assignments[0].power).toEqual(promised[0].power);
    server.clock.now = testNow;
    expect((await post(`/stays/${id}/cancel`)).status).toBe(200);
  });

  it('is recorded by the dock as well, not ahead of time, and once', async () => {
    const { id } = await assigned('Fulmar', 0, 20);
    const arrive = (body?: object) =>
      server.call('dockhand', 'POST', `/stays/${id}/arrive`, body === undefined ? {} : { body });
    expect((await arrive({ at: hours(1) })).status).toBe(400);
    expect((await arrive()).status).toBe(200);
    const again = await arrive();
    expect(again).toMatchObject({ status: 409, body: { type: '/problems/wrong-state' } });
    expect(again.body.detail).toMatch(/has arrived/);
    server.clock.now = testNow + 5 * hourMs;
    expect((await server.call('dockhand', 'POST', `/stays/${id}/depart`, { body: { at: hours(-1) } })).status).toBe(
      400,
    );
    expect((await server.call('dockhand', 'POST', `/stays/${id}/depart`)).status).toBe(200);
  });

  it('needs a berth to arrive at: elsewhere the boat is entered where it was found', async () => {
    const id = await request('Gannet', 0, 20);
    const reply = await post(`/stays/${id}/arrive`);
    expect(reply).toMatchObject({ status: 409, body: { type: '/problems/wrong-state' } });
    expect(reply.body.detail).toContain('found');
    await post(`/stays/${id}/cancel`);
  });

  it('is a no-show from the hour that the marina sets, at its own clock', async () => {
    // Arrival 10 June 2030, 15:00 at the marina (America/New_York, UTC-4); its hour is 22:00: 02:00Z, 14 h on.
    const { id, berthId } = await assigned('Heron', 7, 40);
    server.clock.now = testNow + 14 * hourMs - 1;
    const early = await post(`/stays/${id}/no-show`);
    expect(early).toMatchObject({ status: 409, body: { type: '/problems/wrong-state' } });
    expect(early.body.detail).toContain('10 Jun 2030, 22:00');
    server.clock.now = testNow + 14 * hourMs;
    expect((await post(`/stays/${id}/no-show`)).body).toMatchObject({ state: 'noShow' });
    expect(await usesOfUnit(server, await unitOf(berthId))).not.toContainEqual(expect.stringContaining('Heron'));
    expect((await post(`/stays/${id}/arrive`)).status).toBe(409);
  });
});

describe('an offer', () => {
  it('holds the berth until it lapses, for every reader, without anything that runs by itself', async () => {
    const id = await request('Ibis', 300, 320);
    const [berthId = '', otherId = ''] = await freeBerths(id);
    expect((await post(`/stays/${id}/offer`, { berthId, expiresAt: hours(0) })).status).toBe(400);
    const offered = await post(`/stays/${id}/offer`, { berthId, expiresAt: hours(2) });
    expect(offered).toMatchObject({ status: 200, body: { berthId } });
    expect((await stayOf(id)).stay).toMatchObject({ state: 'offered', offerExpiresAt: hours(2) });
    const rival = await request('Rival', 300, 320);
    expect(await freeBerths(rival)).not.toContain(berthId);

    const moved = await post(`/stays/${id}/move`, { berthId: otherId });
    expect(moved.status).toBe(200);
    expect((await stayOf(id)).stay).toMatchObject({ state: 'offered', offerExpiresAt: hours(2) });
    expect((await post(`/stays/${id}/offer`, { berthId, expiresAt: hours(3) })).status).toBe(200);

    server.clock.now = testNow + 3 * hourMs - 1;
    expect((await stayOf(id)).stay.state).toBe('offered');
    server.clock.now = testNow + 3 * hourMs;
    expect(await freeBerths(rival)).toContain(berthId);
    expect(await stayOf(id)).toMatchObject({ stay: { state: 'requested', offerExpiresAt: null }, assignments: [] });
    expect((await post(`/stays/${id}/promise`)).status).toBe(409);
    const { body } = await get('/changes?after=0&limit=200');
    expect(body.items.at(-1)).toMatchObject({ kind: 'offers.lapsed', actor: 'service', after: { stayIds: [id] } });
  });

  it('becomes a promise with a yes in time', async () => {
    const id = await request('Jaeger', 400, 420);
    const [berthId = ''] = await freeBerths(id);
    await post(`/stays/${id}/offer`, { berthId, expiresAt: hours(2) });
    expect((await post(`/stays/${id}/promise`)).body).toMatchObject({ state: 'promised', offerExpiresAt: null });
    server.clock.now = testNow + 5 * hourMs;
    expect(await stayOf(id)).toMatchObject({ stay: { state: 'promised' }, assignments: [{ berthId }] });
    expect((await post(`/stays/${id}/offer`, { berthId, expiresAt: hours(9) })).status).toBe(409);
  });
});

describe('a swap', () => {
  it('exchanges two berths in one step, or moves neither', async () => {
    const first = await assigned('Knot', 500, 520);
    const second = await assigned('Lapwing', 502, 518);
    const reply = await post('/swaps', { stayIds: [first.id, second.id] });
    expect(reply).toMatchObject({
      status: 200,
      body: {
        assignments: [
          { stayId: first.id, berthId: second.berthId, from: hours(500), until: hours(520) },
          { stayId: second.id, berthId: first.berthId, from: hours(502), until: hours(518) },
        ],
      },
    });
    expect(await usesOfUnit(server, await unitOf(first.berthId))).toContain('Lapwing 502-519');
    expect(await usesOfUnit(server, await unitOf(second.berthId))).toContain('Knot 500-521');

    // A third boat comes to the second's berth just after it: the first one would stay too long there.
    const third = await request('Third', 520, 530);
    const place = (await stayOf(second.id)).assignments[0].berthId;
    expect((await post(`/stays/${third}/assign`, { berthId: place })).status).toBe(200);
    const before = [await stayOf(first.id), await stayOf(second.id)];
    const refused = await post('/swaps', { stayIds: [first.id, second.id] });
    expect(refused).toMatchObject({ status: 409, body: { type: '/problems/refused' } });
    expect(refused.body.findings).toContainEqual(expect.objectContaining({ rule: 'space.taken' }));
    expect([await stayOf(first.id), await stayOf(second.id)]).toEqual(before);
    expect((await post('/swaps', { stayIds: [first.id, first.id] })).status).toBe(400);
  });

  it('exchanges boats that lie here from now on, and keeps where they lay', async () => {
    const first = await assigned('Merlin', 0, 20);
    const second = await assigned('Noddy', 0, 20);
    for (const { id } of [first, second]) expect((await post(`/stays/${id}/arrive`)).status).toBe(200);
    server.clock.now = testNow + 4 * hourMs;
    expect((await post('/swaps', { stayIds: [first.id, second.id] })).status).toBe(200);
    expect((await stayOf(first.id)).assignments).toMatchObject([
      { berthId: first.berthId, from: hours(0), until: hours(4) },
      { berthId: second.berthId, from: hours(4), until: hours(20) },
    ]);
    for (const { id } of [first, second]) expect((await post(`/stays/${id}/depart`)).status).toBe(200);
  });
});
