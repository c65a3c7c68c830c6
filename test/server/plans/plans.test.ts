import { setTimeout as wait } from 'node:timers/promises';
import { afterAll, afterEach, beforeAll, describe, expect, it } from 'vitest';
import { type PlanWorker, startPlanWorker } from '../../../server/plans/plan-worker.ts';
import { createRaceMarina, rowOfSlips } from '../../support/row-of-slips.ts';
import { call, type Reply, startTestServer, type TestServer, testNow } from '../../support/server.ts';
import { storedFaults } from '../../support/stored-faults.ts';

let server: TestServer;
const workers: PlanWorker[] = [];
const errors: unknown[] = [];

beforeAll(async () => {
  server = await startTestServer();
  // Two, as two replicas would: each plan is worked on by one of them.
  for (let i = 0; i < 2; i++) workers.push(await startPlanWorker(server.services, (error) => errors.push(error)));
});
afterAll(async () => {
  for (const worker of workers) await worker.stop();
  await server.close();
});

const period = { from: '2031-06-09T00:00:00-05:00', until: '2031-06-16T00:00:00-05:00' };

async function marinaOf(id: string, slips: number, stays: number) {
  // Without the face, which takes many boats at once.
  const all = rowOfSlips({ slips });
  const inventory = {
    ...all,
    berths: all.berths.filter(({ faceFromM }) => faceFromM === null),
    spaceUnits: all.spaceUnits.filter(({ kind }) => kind !== 'face'),
  };
  const token = await createRaceMarina(server.db, id, inventory, stays);
  const send = (method: string, path: string, body?: unknown): Promise<Reply> =>
    call(server.app, token, method, `/v1/marinas/${id}${path}`, body === undefined ? {} : { body });
  const ask = async (given: object = {}) => {
    const asked = await send('POST', '/plans', { period, timeLimitS: 60, ...given });
    expect(asked.status, JSON.stringify(asked.body)).toBe(202);
    return String(asked.headers.location).replace(`/v1/marinas/${id}`, '');
  };
  const until = async (path: string, states: readonly string[]): Promise<Reply['body']> => {
    for (;;) {
      const { body } = await send('GET', path);
      if (states.includes(body.state)) return body;
      if (body.state === 'failed') throw new Error(body.failure);
      await wait(100);
    }
  };
  return { send, ask, until };
}

describe('plans over HTTP', () => {
  it('are made, read, accepted once, and then written as any assignment is', async () => {
    const { send, ask, until } = await marinaOf('accepted', 4, 6);
    const path = await ask();
    const plan = await until(path, ['done']);
    expect(plan.result.status).toBe('optimal');
    expect(plan.result.aims[0]).toMatchObject({ value: 4, bound: 4, gap: 0 });
    expect(plan.difference.placed).toHaveLength(4);
    expect(plan.difference.unplaced).toHaveLength(2);
    for (const { stoppedBy } of plan.result.unplaced) expect(stoppedBy[0].rule).toMatch(/^(space|outlet)\./);
    // Nothing has changed until it is accepted.
    expect((await send('GET', '/stays?state=promised')).body.items).toEqual([]);

    const accepted = await send('POST', `${path}/accept`);
    expect(accepted.status, JSON.stringify(accepted.body)).toBe(200);
    expect(accepted.body.state).toBe('accepted');
    const promised = (await send('GET', '/stays?state=promised')).body.items;
    expect(promised.map(({ id }: { id: string }) => id).sort()).toEqual([...plan.difference.placed].sort());
    expect(await storedFaults(server.db.pool)).toEqual([]);
    expect((await send('POST', `${path}/accept`)).status).toBe(409);

    // The next plan keeps what is promised.
    const next = await until(await ask(), ['done']);
    expect(next.difference).toMatchObject({ kept: 4, moved: [], placed: [] });
    expect(errors).toEqual([]);
  });

  it('are refused when stale, naming what changed', async () => {
    const { send, ask, until } = await marinaOf('stale', 3, 3);
    const path = await ask();
    await until(path, ['done']);
    expect((await send('POST', '/stays/stay-2/assign', { berthId: 'S1' })).status).toBe(200);
    const refused = await send('POST', `${path}/accept`);
    expect(refused.status).toBe(412);
    expect(refused.body.detail).toContain('stay-2');
    expect((await send('GET', '/stays?state=requested')).body.items).toHaveLength(2);
  });

  it('are won whole by one of two desks that accept at once', async () => {
    const { send, ask, until } = await marinaOf('desks', 3, 5);
    const paths = [await ask(), await ask({ settings: { serve: 'nights' } })];
    for (const path of paths) await until(path, ['done']);
    const answers = await Promise.all(paths.map((path) => send('POST', `${path}/accept`)));
    expect(answers.map(({ status }) => status).sort()).toEqual([200, 412]);
    const winner = answers.find(({ status }) => status === 200);
    const promised = (await send('GET', '/stays?state=promised')).body.items;
    expect(promised.map(({ id }: { id: string }) => id).sort()).toEqual(
      [...(winner?.body.difference.placed ?? [])].sort(),
    );
    expect(await storedFaults(server.db.pool)).toEqual([]);
  });

  it('may suppose what is not so, and write nothing of it', async () => {
    const { send, ask, until } = await marinaOf('what-if', 4, 4);
    const changes = {
      outOfService: [{ outletId: 'O1', ...period }],
      extraStays: [{ like: 'stay-1', count: 2 }],
    };
    const path = await ask({ changes });
    const plan = await until(path, ['done']);
    expect(plan.isWhatIf).toBe(true);
    expect(plan.result.aims[0].value).toBe(3);
    expect(plan.result.placements.length + plan.result.unplaced.length).toBe(6);
    expect((await send('POST', `${path}/accept`)).status).toBe(409);
    const [row] = await server.db.prisma.outOfService.findMany({ where: { marinaId: 'what-if' } });
    expect(row).toBeUndefined();
    const wrong = await send('POST', '/plans', {
      period,
      changes: { outOfService: [{ equipmentId: 'none', ...period }] },
    });
    expect(wrong.status).toBe(400);
  });

  it("may suppose closings lifted, where what a holder has is the holder's again", async () => {
    const { send, ask, until } = await marinaOf('lifted', 3, 3);
    expect((await send('POST', '/holdings', { berthId: 'S1', holderName: 'Quill', from: period.from })).status).toBe(
      201,
    );
    for (const unitId of ['S1', 'S2'])
      expect((await send('POST', '/out-of-service', { unitId, reason: 'dredged', ...period })).status).toBe(201);
    expect((await send('POST', '/out-of-service', { outletId: 'O3', reason: 'wet', ...period })).status).toBe(201);
    const served = async (given: object) => {
      const { isWhatIf, result } = await until(await ask(given), ['done']);
      return { isWhatIf, berths: result.placements.map(({ berthId }: { berthId: string }) => berthId).sort() };
    };
    expect(await served({})).toEqual({ isWhatIf: false, berths: [] });
    const lifted = (...inService: string[]) => served({ changes: { inService } });
    expect(await lifted('S2', 'O3')).toEqual({ isWhatIf: true, berths: ['S2', 'S3'] });
    expect(await lifted('S1', 'S2', 'O3')).toEqual({ isWhatIf: true, berths: ['S2', 'S3'] });
    expect(await served({ changes: { inService: ['nothing'] } }).catch(String)).toContain('nothing');
    expect(await send('GET', '/out-of-service').then(({ body }) => body.items)).toHaveLength(3);
  });

  it('may suppose another inventory', async () => {
    const { send, ask, until } = await marinaOf('altered', 3, 3);
    const { body: before } = await send('GET', '/inventory');
    const itemOf = (list: readonly { id: string }[], id: string) => list.find((item) => item.id === id);
    const served = async (...inventory: object[]) => {
      const { result } = await until(await ask({ changes: { inventory } }), ['done']);
      return result.placements.length;
    };
    // Common practice: a 50 A outlet does not take the plug of a 30 A cord, and nothing else is aboard.
    const outlet = { ...itemOf(before.outlets, 'O1'), configurationId: 'SS2-50', lines: ['L1', 'L2'], breakerA: 50 };
    expect(await served({ collection: 'outlets', id: 'O1', item: outlet })).toBe(2);
    expect(await served({ collection: 'berths', id: 'S3', item: null })).toBe(2);
    const shallow = { ...itemOf(before.berths, 'S2'), depthM: 0.5 };
    expect(await served({ collection: 'berths', id: 'S2', item: shallow })).toBe(2);
    // A 30 A feeder: the practice's factor for one or two outlets is 1, so one boat of 30 A and no more.
    const feeder = { ...itemOf(before.equipment, 'feeder'), breakerA: 30 };
    expect(await served({ collection: 'equipment', id: 'feeder', item: feeder })).toBe(1);
    expect((await send('GET', '/inventory')).body).toEqual(before);
    const wrong = await send('POST', '/plans', {
      period,
      changes: { inventory: [{ collection: 'outlets', id: 'O1', item: { ...outlet, pedestalId: 'none' } }] },
    });
    expect(wrong.status).toBe(422);
  });

  it('give a boat two berths, one after the other, where that is asked for, and write both', async () => {
    const { send, ask, until } = await marinaOf('twice', 2, 1);
    // By universal time: the first berth is closed from the evening of the 11th on, the other until its noon.
    const closings = [
      { unitId: 'S1', from: '2031-06-11T20:00:00Z', until: period.until },
      { unitId: 'S2', from: period.from, until: '2031-06-11T12:00:00Z' },
    ];
    for (const closing of closings)
      expect((await send('POST', '/out-of-service', { reason: 'dredged', ...closing })).status).toBe(201);
    expect((await until(await ask(), ['done'])).result.placements).toEqual([]);
    const path = await ask({ settings: { moveInside: true } });
    const plan = await until(path, ['done']);
    expect(plan.result.status).toBe('optimal');
    expect(plan.difference.placed).toEqual(['stay-1']);
    const [first, second] = plan.result.placements;
    expect([first.berthId, second.berthId]).toEqual(['S1', 'S2']);
    expect(first.until).toBe(second.from);
    expect((await send('POST', `${path}/accept`)).status).toBe(200);
    const written = await server.db.prisma.assignment.findMany({
      where: { marinaId: 'twice' },
      orderBy: { fromAt: 'asc' },
    });
    expect(
      written.map(({ berthId, fromAt, untilAt }) => [berthId, fromAt.toISOString(), untilAt.toISOString()]),
    ).toEqual([
      ['S1', first.from, first.until],
      ['S2', second.from, second.until],
    ]);
    expect(await storedFaults(server.db.pool)).toEqual([]);
  });

  it('say which promises cannot all be kept', async () => {
    const { send, ask, until } = await marinaOf('conflict', 2, 2);
    for (const n of [1, 2])
      expect((await send('POST', `/stays/stay-${n}/assign`, { berthId: `S${n}` })).status).toBe(200);
    const plan = await until(await ask({ changes: { outOfService: [{ unitId: 'S1', ...period }] } }), ['done']);
    expect(plan.result.status).toBe('infeasible');
    expect(plan.result.conflict.sort()).toEqual(['stay-1', 'stay-2']);
  });

  it('stop when asked, queued or running', async () => {
    const { send, ask, until } = await marinaOf('stopped', 4, 6);
    const path = await ask();
    await until(path, ['running', 'done']);
    const stopped = await send('POST', `${path}/stop`);
    if (stopped.status === 200) await until(path, ['stopped', 'done']);
    expect((await send('POST', `${path}/stop`)).status).toBe(409);
  });
});

describe('the next plan', () => {
  // The race marina's stays: 10 June, 20:00 to 12 June, 15:00, by universal time.
  const at = (day: number, hour: number) => new Date(Date.UTC(2031, 5, day, hour)).toISOString();
  afterEach(() => {
    server.clock.now = testNow;
  });

  it('takes up a stay that lost its berth, whole or in part, before and after its boat came', async () => {
    const { send, ask, until } = await marinaOf('displaced', 5, 3);
    for (const n of [1, 2, 3])
      expect((await send('POST', `/stays/stay-${n}/assign`, { berthId: `S${n}` })).status).toBe(200);
    server.clock.now = Date.parse(at(10, 21));
    expect((await send('POST', '/stays/stay-3/arrive', {})).status).toBe(200);
    // From the evening of the 11th on strangers lie where the second and third boat were to lie until the 12th.
    server.clock.now = Date.parse(at(11, 22));
    for (const berthId of ['S2', 'S3']) {
      const stranger = {
        berthId,
        boat: { name: `Stranger ${berthId}` },
        at: at(11, 22),
        until: at(13, 15),
        outletIds: [],
      };
      expect((await send('POST', '/occupancy-found', stranger)).status).toBe(200);
    }
    server.clock.now = Date.parse(at(11, 23));
    const path = await ask();
    const plan = await until(path, ['done']);
    expect(plan.result.status).toBe('optimal');
    expect(plan.difference.placed.sort()).toEqual(['stay-2', 'stay-3']);
    for (const { berthId, from, until: end } of plan.result.placements) {
      expect(['S4', 'S5']).toContain(berthId);
      expect([from, end]).toEqual([at(11, 23), at(12, 15)]);
    }
    const accepted = await send('POST', `${path}/accept`);
    expect(accepted.status, JSON.stringify(accepted.body)).toBe(200);
    expect(await storedFaults(server.db.pool)).toEqual([]);
    const stay = async (id: string) => (await send('GET', `/stays/${id}`)).body.stay;
    expect(await stay('stay-3')).toMatchObject({ state: 'arrived', needsBerth: null });
    const third = await server.db.prisma.assignment.findMany({
      where: { marinaId: 'displaced', stayId: 'stay-3' },
      orderBy: { fromAt: 'asc' },
    });
    // What it had before it was displaced stays on record.
    expect(third.map(({ fromAt, untilAt }) => [fromAt.toISOString(), untilAt.toISOString()])).toEqual([
      [at(10, 20), at(11, 22)],
      [at(11, 23), at(12, 15)],
    ]);
    expect((await until(await ask(), ['done'])).result.placements).toEqual([]);
  });

  it('finds a boat that was found elsewhere a berth for the rest of its stay', async () => {
    const { send, ask, until } = await marinaOf('elsewhere', 3, 1);
    expect((await send('POST', '/stays/stay-1/assign', { berthId: 'S1' })).status).toBe(200);
    server.clock.now = Date.parse(at(10, 22));
    const found = { berthId: 'S2', stayId: 'stay-1', at: at(10, 22), until: at(11, 15), outletIds: [] };
    expect((await send('POST', '/occupancy-found', found)).status).toBe(200);
    const path = await ask();
    const plan = await until(path, ['done']);
    const [place] = plan.result.placements;
    expect(place).toMatchObject({ stayId: 'stay-1', kind: 'new', from: at(11, 15), until: at(12, 15) });
    expect((await send('POST', `${path}/accept`)).status).toBe(200);
    expect(await storedFaults(server.db.pool)).toEqual([]);
  });

  it('keeps clear of a boat that has not left, and moves who was to follow it', async () => {
    const { send, ask, until } = await marinaOf('overstay', 2, 2);
    expect((await send('POST', '/stays/stay-1/assign', { berthId: 'S1' })).status).toBe(200);
    const later = { arrivalAt: new Date(at(12, 17)), departureAt: new Date(at(14, 15)) };
    await server.db.prisma.stay.updateMany({ where: { marinaId: 'overstay', id: 'stay-2' }, data: later });
    expect((await send('POST', '/stays/stay-2/assign', { berthId: 'S1' })).status).toBe(200);
    server.clock.now = Date.parse(at(10, 21));
    expect((await send('POST', '/stays/stay-1/arrive', {})).status).toBe(200);
    expect((await until(await ask(), ['done'])).difference).toMatchObject({ kept: 1, moved: [] });
    // Half an hour after its departure it still lies there.
    server.clock.now = Date.parse(at(12, 15)) + 1_800_000;
    const path = await ask();
    const plan = await until(path, ['done']);
    expect(plan.result.placements).toMatchObject([{ stayId: 'stay-2', kind: 'moved', berthId: 'S2' }]);
    expect((await send('POST', `${path}/accept`)).status).toBe(200);
    expect(await storedFaults(server.db.pool)).toEqual([]);
  });
});
