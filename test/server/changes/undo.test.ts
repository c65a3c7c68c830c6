import { afterAll, beforeAll, beforeEach, describe, expect, it } from 'vitest';
import { standing } from '../../../server/changes/kept-rows.ts';
import { type Reply, type TestServer, testNow } from '../../support/server.ts';
import { hours, startMarina } from '../occupancy/fixture.ts';

let server: TestServer;
beforeAll(async () => {
  server = await startMarina();
});
afterAll(() => server.close());
beforeEach(async () => {
  server.clock.now = testNow;
  await server.db.pool.query(
    'TRUNCATE space_use, outlet_use, stock_use, assignment, stay, absence, holding, out_of_service, boat CASCADE',
  );
});

const post = (path: string, body?: object) =>
  server.call('harbormaster', 'POST', path, body === undefined ? {} : { body });
const undo = (seq: number) => post(`/changes/${seq}/undo`);

async function lastSeq(): Promise<number> {
  const marina = await server.db.prisma.marina.findUniqueOrThrow({ where: { id: 'north' } });
  return Number(marina.seq);
}

async function done(reply: Promise<Reply>): Promise<Reply> {
  const answer = await reply;
  expect(answer.status, JSON.stringify(answer.body)).toBeLessThan(300);
  return answer;
}

async function request(boatName: string, from = 100, until = 120): Promise<string> {
  const facts = { lengthOverallM: 9, beamM: 3, hull: 'monohull', draftM: 1, plug: '30 A', airConditioning: false };
  const call = { name: 'M. Oduya', boatName, arrival: hours(from), departure: hours(until), ...facts };
  return (await done(post('/stays', call))).body.stay.id;
}

/** Everything that undo may touch, without versions, which only ever rise, and without the ids of derived rows. */
async function everything(): Promise<unknown> {
  const read = async (table: string, where = 'true', but = '') =>
    (
      await server.db.pool.query(
        `SELECT to_jsonb(t) - 'version' ${but} AS row FROM ${table} t WHERE ${where} ORDER BY (to_jsonb(t) ${but})::text`,
      )
    ).rows;
  return {
    boat: await read('boat'),
    stay: await read('stay'),
    holding: await read('holding'),
    absence: await read('absence'),
    closing: await read('out_of_service'),
    assignment: await read('assignment'),
    spaces: await read('space_use', 'true', "- 'id'"),
    outlets: await read('outlet_use', 'true', "- 'id'"),
    stock: await read('stock_use', 'true', "- 'id'"),
  };
}

describe('undoing a change', () => {
  it('brings back exactly what was, for every kind of change that a desk makes', async () => {
    const id = await request('Avocet');
    const other = await request('Brant', 100, 118);
    const held = (await done(post('/holdings', { berthId: 'A5', holderName: 'Dunne', from: hours(0) }))).body;
    const { body: options } = await server.call('viewer', 'GET', `/stays/${id}/berth-options?options=200`);
    type Option = { connection: unknown; berthId: string };
    const [first, second, third] = options.options.filter((option: Option) => option.connection !== null);
    const steps: [name: string, act: () => Promise<Reply>][] = [
      ['change', () => send('PATCH', `/stays/${id}`, { note: 'Late.' })],
      ['offer', () => post(`/stays/${id}/offer`, { berthId: first.berthId, expiresAt: hours(9) })],
      ['promise', () => post(`/stays/${id}/promise`)],
      ['assign', () => post(`/stays/${other}/assign`, { berthId: second.berthId })],
      ['move', () => post(`/stays/${id}/move`, { berthId: third.berthId })],
      ['swap', () => post('/swaps', { stayIds: [id, other] })],
      ['extend', () => post(`/stays/${id}/reschedule`, { departure: hours(125) })],
      ['shorten', () => post(`/stays/${id}/reschedule`, { departure: hours(110) })],
      ['absence', () => post(`/holdings/${held.id}/absences`, { from: hours(10), until: hours(30) })],
      ['close', () => post('/out-of-service', { unitId: 'A1', from: hours(0), until: hours(300), reason: 'piling' })],
      ['found', () => post('/occupancy-found', found)],
      ['request', () => post('/stays', call)],
      ['turn away', () => post('/turned-away', { ...call, reasons: [{ rule: 'space.taken' }] })],
      ['cancel', () => post(`/stays/${id}/cancel`)],
    ];
    const found = { berthId: 'A2', boat: { name: 'Grey Petrel', lengthOverallM: 9.4 }, at: hours(0), outletIds: [] };
    const call = { name: 'A. Abe', boatName: 'New', lengthOverallM: 8, arrival: hours(40), departure: hours(50) };
    for (const [name, act] of steps) {
      const before = await everything();
      await done(act());
      const after = await everything();
      expect(after, name).not.toEqual(before);
      const seq = await lastSeq();
      await done(undo(seq));
      expect(await everything(), `undo of ${name}`).toEqual(before);
      // Undoing the undo does it again: the next step stands on it.
      await done(undo(await lastSeq()));
      expect(await everything(), `redo of ${name}`).toEqual(after);
    }
  });

  it('is refused while later changes stand on it, and names them', async () => {
    const id = await request('Crake');
    const requested = await lastSeq();
    await done(post(`/stays/${id}/assign`, { berthId: 'A3' }));
    const assigned = await lastSeq();
    const refused = await undo(requested);
    expect(refused).toMatchObject({ status: 409, body: { type: '/problems/in-use' } });
    expect(refused.body.detail).toContain(`change ${assigned} (stay.assigned)`);
    await done(undo(assigned));
    await done(undo(requested));
    expect((await server.call('viewer', 'GET', `/stays/${id}`)).status).toBe(404);
    expect((await undo(99_999)).status).toBe(404);
  });

  it('does not take back a berth that was given away since: it names who has it', async () => {
    const id = await request('Dunlin');
    await done(post(`/stays/${id}/assign`, { berthId: 'A3' }));
    await done(post(`/stays/${id}/cancel`));
    const cancelled = await lastSeq();
    const rival = await request('Rival');
    await done(post(`/stays/${rival}/assign`, { berthId: 'A3' }));
    const refused = await undo(cancelled);
    expect(refused).toMatchObject({ status: 409, body: { type: '/problems/refused' } });
    expect(JSON.stringify(refused.body.findings)).toContain('Rival');
    expect((await server.call('viewer', 'GET', `/stays/${id}`)).body.stay.state).toBe('cancelled');
  });

  it('does not take back an absence in which a boat was placed', async () => {
    const held = (await done(post('/holdings', { berthId: 'A3', holderName: 'Dunne', from: hours(0) }))).body;
    await done(post(`/holdings/${held.id}/absences`, { from: hours(90), until: hours(140) }));
    const released = await lastSeq();
    const id = await request('Eider');
    await done(post(`/stays/${id}/assign`, { berthId: 'A3' }));
    const assigned = await lastSeq();
    const refused = await undo(released);
    expect(refused).toMatchObject({ status: 409, body: { type: '/problems/in-use' } });
    expect(refused.body.detail).toContain(`change ${assigned}`);
    await done(undo(assigned));
    await done(undo(released));
  });

  it('keeps a boat that has another stay since', async () => {
    await request('Fulmar');
    const requested = await lastSeq();
    const boat = await server.db.prisma.boat.findFirstOrThrow({ where: { name: 'Fulmar' } });
    const again = { name: 'M. Oduya', boatId: boat.id, arrival: hours(200), departure: hours(210) };
    await done(post('/stays', again));
    const second = await lastSeq();
    const refused = await undo(requested);
    expect(refused).toMatchObject({ status: 409, body: { type: '/problems/in-use' } });
    expect(refused.body.detail).toContain(`change ${second}`);
  });

  it('refuses kinds that are no part of it, by name', async () => {
    const put = await server.call('manager', 'PUT', '/display', { body: { lengths: 'metres', clock: '24' } });
    expect(put.status).toBe(200);
    const refused = await undo(await lastSeq());
    expect(refused).toMatchObject({ status: 409, body: { type: '/problems/wrong-state' } });
    expect(refused.body.detail).toContain('display.put');
    expect((await server.call('viewer', 'POST', '/changes/1/undo')).status).toBe(403);
  });
});

describe('which later changes still count', () => {
  const change = (seq: number, undoes: number | null = null) => ({ seq, kind: 'x', undoes });
  it.each([
    [
      [change(2), change(3)],
      [2, 3],
    ],
    [[change(2), change(3, 2)], []],
    [[change(2), change(3, 2), change(4, 3)], [2]],
    [[change(2), change(3), change(4, 3)], [2]],
  ])('%j leave %j', (changes, left) => {
    expect(standing(changes).map(({ seq }) => seq)).toEqual(left);
  });
});

function send(method: string, path: string, body: object) {
  return server.call('harbormaster', method, path, { body, headers: { 'if-match': '*' } });
}
