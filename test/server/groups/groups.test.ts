import { afterAll, beforeAll, beforeEach, describe, expect, it } from 'vitest';
import { type Reply, type TestServer, testNow } from '../../support/server.ts';
import { storedFaults } from '../../support/stored-faults.ts';
import { hours, startMarina, usesOfUnit } from '../occupancy/fixture.ts';

let server: TestServer;
beforeAll(async () => {
  server = await startMarina();
});
afterAll(() => server.close());
beforeEach(async () => {
  server.clock.now = testNow;
  await server.db.pool.query(
    'TRUNCATE space_use, outlet_use, stock_use, assignment, stay, stay_group, absence, holding, out_of_service, boat CASCADE',
  );
});

const hourMs = 3_600_000;
const send = (method: string, path: string, body?: object, headers = {}) =>
  server.call('harbormaster', method, path, { ...(body === undefined ? {} : { body }), headers });
const post = (path: string, body?: object, headers = {}) => send('POST', path, body, headers);
const get = (path: string) => server.call('viewer', 'GET', path);

async function done(reply: Promise<Reply>): Promise<Reply> {
  const answer = await reply;
  expect(answer.status, JSON.stringify(answer.body)).toBeLessThan(300);
  return answer;
}

async function request(boatName: string, from = 100, until = 120, said: object = {}): Promise<string> {
  const facts = { lengthOverallM: 9, beamM: 3, hull: 'monohull', draftM: 1, plug: '30 A', airConditioning: false };
  const call = { name: 'M. Oduya', boatName, arrival: hours(from), departure: hours(until), ...facts, ...said };
  return (await done(post('/stays', call))).body.stay.id;
}

const meet = { name: 'Autumn meet', contactName: 'R. Achterberg', phone: '+1 555 0150' };
const kept = { from: hours(96), until: hours(130), cutOff: hours(50) };

async function group(berthIds: string[], more: object = {}): Promise<{ id: string; version: number }> {
  return (await done(post('/groups', { ...meet, ...kept, berthIds, ...more }))).body;
}

async function withMembers(groupId: string, stayIds: string[]): Promise<void> {
  const { body } = await get(`/groups/${groupId}`);
  await done(send('PUT', `/groups/${groupId}/members`, { stayIds }, { 'if-match': `"${body.group.version}"` }));
}

/** Berths with power for a boat of 9 m, in the order of the document. */
async function goodBerths(): Promise<string[]> {
  const id = await request('Probe');
  const { body } = await get(`/stays/${id}/berth-options?options=200`);
  await done(post(`/stays/${id}/cancel`));
  type Option = { connection: unknown; berthId: string; place: unknown };
  const good = new Set(
    body.options.flatMap((each: Option) => (each.connection === null || each.place !== null ? [] : [each.berthId])),
  );
  const { body: inventory } = await get('/inventory');
  type Berth = { id: string; unitIds: string[] };
  return inventory.berths
    .filter(({ id: berth, unitIds }: Berth) => good.has(berth) && unitIds.length === 1)
    .map(({ id: berth }: Berth) => berth);
}

async function lastSeq(): Promise<number> {
  const marina = await server.db.prisma.marina.findUniqueOrThrow({ where: { id: 'north' } });
  return Number(marina.seq);
}

const faults = () => storedFaults(server.db.pool);

describe('a block of berths', () => {
  it('is kept for the group: nobody else is given a berth of it, by the rules and by the database', async () => {
    const [berthId = ''] = await goodBerths();
    const { id } = await group([berthId]);
    expect(await usesOfUnit(server, berthId)).toEqual(['Autumn meet 96-130']);
    const other = await request('Brant');
    const refused = await post(`/stays/${other}/assign`, { berthId });
    expect(refused).toMatchObject({ status: 409, body: { type: '/problems/refused' } });
    expect(refused.body.findings).toContainEqual(expect.objectContaining({ rule: 'space.blocked', level: 'refuse' }));
    // Around the block the berth is anybody's: from its end on, and until its beginning less the turnover hour.
    await done(post(`/stays/${await request('After', 130, 140)}/assign`, { berthId }));
    await done(post(`/stays/${await request('Before', 80, 95)}/assign`, { berthId }));
    expect((await post(`/stays/${await request('Late', 70, 96)}/assign`, { berthId })).status).toBe(409);

    // Past every rule: the exclusion constraint itself.
    const { rows } = await server.db.pool.query<{ id: string }>('SELECT id FROM assignment LIMIT 1');
    const insert = server.db.pool.query(
      `INSERT INTO space_use (marina_id, unit_id, from_m, until_m, from_at, until_at, assignment_id)
       VALUES ('north', $1, 0, 1, $2, $3, $4)`,
      [berthId, hours(100), hours(110), rows[0]?.id],
    );
    await expect(insert).rejects.toMatchObject({ code: '23P01', constraint: 'space_use_once' });
    expect((await get(`/groups/${id}`)).body).toMatchObject({ members: [], findings: [] });
    expect(await faults()).toEqual([]);
  });

  it('is not entered where anybody has one of the berths, and says who', async () => {
    const [first = '', second = ''] = await goodBerths();
    await done(post(`/stays/${await request('Crake')}/assign`, { berthId: first }));
    await done(post('/holdings', { berthId: second, holderName: 'Dunne', from: hours(0) }));
    const refused = await post('/groups', { ...meet, ...kept, berthIds: [first, second] });
    expect(refused).toMatchObject({ status: 409, body: { type: '/problems/double-use' } });
    expect(refused.body.findings.map(({ rule }: { rule: string }) => rule)).toEqual(['space.taken', 'space.held']);
    const none = await post('/groups', { ...meet, ...kept, berthIds: ['nowhere'] });
    expect(none).toMatchObject({ status: 400 });
    for (const wrong of [
      { until: hours(90) },
      { cutOff: hours(131) },
      { cutOff: hours(0) },
      { berthIds: [first, first] },
    ])
      expect((await post('/groups', { ...meet, ...kept, berthIds: [], ...wrong })).status).toBe(400);
    expect((await get('/groups')).body.items).toEqual([]);
  });

  it('stands in the way of another block, of a new holder, and of taking its berths out of the inventory', async () => {
    const [berthId = ''] = await goodBerths();
    await group([berthId]);
    const again = await post('/groups', { ...meet, ...kept, berthIds: [berthId] });
    expect(again.body.findings).toMatchObject([{ rule: 'space.blocked' }]);
    const holder = await post('/holdings', { berthId, holderName: 'Dunne', from: hours(0) });
    expect(holder).toMatchObject({ status: 409, body: { findings: [{ rule: 'space.blocked' }] } });
    await done(post('/holdings', { berthId, holderName: 'Dunne', from: hours(130) }));
    const { headers } = await get('/inventory');
    const removal = await server.call('manager', 'DELETE', `/berths/${berthId}`, {
      headers: { 'if-match': String(headers.etag) },
    });
    expect(removal.status, JSON.stringify(removal.body)).toBe(409);
    expect(JSON.stringify(removal.body)).toContain('the group Autumn meet');
  });

  it('gives way to a boat found there, and has the berth again when that leaves', async () => {
    const [berthId = ''] = await goodBerths();
    const { id } = await group([berthId], { cutOff: hours(130) });
    server.clock.now = Date.parse(hours(97));
    const found = await post('/occupancy-found', {
      berthId,
      boat: { name: 'Stray' },
      at: hours(97),
      until: hours(105),
    });
    expect(found.status, JSON.stringify(found.body)).toBe(200);
    expect(found.body.assignment.findings).toContainEqual(
      expect.objectContaining({ subject: expect.objectContaining({ kind: 'group' }) }),
    );
    expect(await usesOfUnit(server, berthId)).toEqual(['Autumn meet 96-97', 'Stray 97-106', 'Autumn meet 106-130']);
    expect((await get(`/groups/${id}`)).body.findings).toMatchObject([{ rule: 'space.taken', actual: 'Stray' }]);
    server.clock.now = Date.parse(hours(99));
    await done(post(`/stays/${found.body.stayId}/depart`));
    expect(await usesOfUnit(server, berthId)).toEqual(['Autumn meet 96-97', 'Stray 97-100', 'Autumn meet 100-130']);
  });

  it('lapses at its cut-off, by the clock: what no member has is free, what one has stays', async () => {
    const [first = '', second = ''] = await goodBerths();
    const { id } = await group([first, second]);
    const stayId = await request('Avocet');
    await withMembers(id, [stayId]);
    await done(post(`/stays/${stayId}/assign`, { berthId: first }));
    expect(await usesOfUnit(server, first)).toEqual(['Autumn meet 96-100', 'Avocet 100-121', 'Autumn meet 121-130']);
    const other = await request('Brant');
    server.clock.now = testNow + 50 * hourMs - 1;
    expect((await post(`/stays/${other}/assign`, { berthId: second })).status).toBe(409);
    server.clock.now = testNow + 50 * hourMs;
    await done(post(`/stays/${other}/assign`, { berthId: second }));
    expect(await usesOfUnit(server, first)).toEqual(['Avocet 100-121']);
    const changes = (await get('/changes?limit=200')).body.items;
    expect(changes).toContainEqual(
      expect.objectContaining({ kind: 'group.lapsed', actor: 'service', after: { groupIds: [id] } }),
    );
    expect((await post(`/groups/${id}/release`)).status).toBe(409);
    expect((await send('PATCH', `/groups/${id}`, { cutOff: hours(90) }, { 'if-match': '*' })).status).toBe(409);
  });

  it('is released at once, and the waiting list is told', async () => {
    const [berthId = ''] = await goodBerths();
    const { id } = await group([berthId]);
    const waiting = await request('Dunlin');
    const released = await done(post(`/groups/${id}/release`));
    expect(released.body.group.releasedAt).toBe(hours(0));
    expect(released.body.nowFits).toMatchObject([{ stay: { id: waiting }, fits: [{ berthId }] }]);
    expect(await usesOfUnit(server, berthId)).toEqual([]);
  });

  it('is changed with its version: berths come and go, all or none', async () => {
    const [first = '', second = '', third = ''] = await goodBerths();
    const { id, version } = await group([first]);
    await done(post(`/stays/${await request('Crake')}/assign`, { berthId: third }));
    expect((await send('PATCH', `/groups/${id}`, { note: 'x' })).status).toBe(428);
    expect((await send('PATCH', `/groups/${id}`, { note: 'x' }, { 'if-match': '"99"' })).status).toBe(412);
    const current = { 'if-match': `"${version}"` };
    expect((await send('PATCH', `/groups/${id}`, { berthIds: [second, third] }, current)).status).toBe(409);
    expect(await usesOfUnit(server, second)).toEqual([]);
    const changed = await done(send('PATCH', `/groups/${id}`, { berthIds: [second], from: hours(98) }, current));
    expect(changed.body).toMatchObject({ berthIds: [second], version: version + 1 });
    expect(await usesOfUnit(server, first)).toEqual([]);
    expect(await usesOfUnit(server, second)).toEqual(['Autumn meet 98-130']);
    expect((await server.call('viewer', 'POST', '/groups', { body: { ...meet, ...kept } })).status).toBe(403);
    expect((await get(`/groups/${id}`)).body.group.phone).toBeNull();
  });
});

describe('members', () => {
  it('belong to one group, and leave the block before they leave the group', async () => {
    const [first = ''] = await goodBerths();
    const { id } = await group([first]);
    const { id: other } = await group([]);
    const stayId = await request('Avocet');
    await withMembers(id, [stayId]);
    expect((await get(`/stays/${stayId}`)).body.stay.groupId).toBe(id);
    const put = (groupId: string, stayIds: string[]) =>
      send('PUT', `/groups/${groupId}/members`, { stayIds }, { 'if-match': '*' });
    expect(await put(other, [stayId])).toMatchObject({ status: 409, body: { type: '/problems/wrong-state' } });
    expect((await put(other, ['nobody'])).status).toBe(400);
    await done(post(`/stays/${stayId}/assign`, { berthId: first }));
    expect((await put(id, [])).status).toBe(409);
    await done(post(`/stays/${stayId}/cancel`));
    expect(await usesOfUnit(server, first)).toEqual(['Autumn meet 96-130']);
    await done(put(id, []));
    const gone = await request('Gone');
    await done(post(`/stays/${gone}/cancel`));
    expect((await put(id, [gone])).status).toBe(409);
  });

  it('are placed side by side in one change, told once under one key, and undone in one', async () => {
    const berths = await goodBerths();
    const { id } = await group(berths.slice(0, 4), { adjacency: 'demand' });
    const stayIds = [await request('Avocet'), await request('Brant'), await request('Crake')];
    await withMembers(id, stayIds);
    const dry = await done(post(`/groups/${id}/place`, { dryRun: true }));
    expect(dry.body).toMatchObject({ assignments: [], runs: 1, isProven: true });
    expect(dry.body.places.map(({ stayId }: { stayId: string }) => stayId).sort()).toEqual([...stayIds].sort());
    expect(await server.db.prisma.assignment.count()).toBe(0);

    const before = await lastSeq();
    const key = { 'idempotency-key': 'place-1' };
    const placed = await done(post(`/groups/${id}/place`, {}, key));
    expect(placed.body.assignments).toHaveLength(3);
    const given: string[] = placed.body.assignments.map(({ berthId }: { berthId: string }) => berthId);
    expect(given.every((berthId) => berths.slice(0, 4).includes(berthId))).toBe(true);
    expect(new Set(given).size).toBe(3);
    expect(await lastSeq()).toBe(before + 1);
    expect((await post(`/groups/${id}/place`, {}, key)).body).toEqual(placed.body);
    expect(await lastSeq()).toBe(before + 1);
    for (const stayId of stayIds) expect((await get(`/stays/${stayId}`)).body.stay.state).toBe('promised');
    expect(await faults()).toEqual([]);
    expect((await post(`/groups/${id}/place`)).status).toBe(409);

    await done(post(`/changes/${before + 1}/undo`));
    expect(await server.db.prisma.assignment.count()).toBe(0);
    for (const stayId of stayIds) expect((await get(`/stays/${stayId}`)).body.stay.state).toBe('requested');
    for (const berthId of berths.slice(0, 4)) expect(await usesOfUnit(server, berthId)).toEqual(['Autumn meet 96-130']);
    expect(await faults()).toEqual([]);
  });

  it('are all left as they were where one finds no berth, and it is named with the rules', async () => {
    const berths = await goodBerths();
    const { id } = await group(berths.slice(0, 2));
    const stayIds = [await request('Avocet'), await request('Whale', 100, 120, { lengthOverallM: 60, beamM: 12 })];
    await withMembers(id, stayIds);
    const before = await lastSeq();
    const refused = await post(`/groups/${id}/place`);
    expect(refused).toMatchObject({
      status: 409,
      body: { type: '/problems/refused', findings: [{ level: 'refuse', subject: { kind: 'stay', label: 'Whale' } }] },
    });
    expect(refused.body.findings[0].rule).toMatch(/^fit\./);
    expect(await lastSeq()).toBe(before);
    expect(await server.db.prisma.assignment.count()).toBe(0);
  });

  it('without a block lie anywhere, by the wish beside each other', async () => {
    const { id } = await group([], { adjacency: 'wish' });
    await withMembers(id, [await request('Avocet'), await request('Brant')]);
    const placed = await done(post(`/groups/${id}/place`));
    expect(placed.body).toMatchObject({ runs: 1, assignments: [{}, {}] });
  });
});

describe('undoing a group', () => {
  it('takes the block back, and brings it back where nobody has it since', async () => {
    const [berthId = ''] = await goodBerths();
    const { id } = await group([berthId]);
    const made = await lastSeq();
    await done(post(`/changes/${made}/undo`));
    expect((await get(`/groups/${id}`)).status).toBe(404);
    expect(await usesOfUnit(server, berthId)).toEqual([]);
    await done(post(`/changes/${made + 1}/undo`));
    expect(await usesOfUnit(server, berthId)).toEqual(['Autumn meet 96-130']);

    await done(post(`/groups/${id}/release`));
    const released = await lastSeq();
    const stayId = await request('Avocet');
    await done(post(`/stays/${stayId}/assign`, { berthId }));
    const assigned = await lastSeq();
    expect(await post(`/changes/${released}/undo`)).toMatchObject({ status: 409 });
    await done(post(`/changes/${assigned}/undo`));
    await done(post(`/changes/${released}/undo`));
    expect(await usesOfUnit(server, berthId)).toEqual(['Autumn meet 96-130']);
    expect(await faults()).toEqual([]);
  });
});
