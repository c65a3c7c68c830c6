import { setTimeout as wait } from 'node:timers/promises';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { type PlanWorker, startPlanWorker } from '../../../server/plans/plan-worker.ts';
import { createRaceMarina, rowOfSlips } from '../../support/row-of-slips.ts';
import { call, type Reply, startTestServer, type TestServer } from '../../support/server.ts';
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
