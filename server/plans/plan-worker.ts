import { setTimeout as wait } from 'node:timers/promises';
import PgBoss from 'pg-boss';
import { z } from 'zod';
import { Prisma } from '../db/generated/client.ts';
import { plainJson } from '../db/plain-json.ts';
import { Problem } from '../errors.ts';
import type { Services } from '../services.ts';
import { loadPlanQuestion } from './load-question.ts';
import { runApart } from './run-apart.ts';
import type { PlanProgress, PlanRun } from './run-plan.ts';
import { newPlanSchema } from './schema.ts';

export interface PlanWorker {
  /** Gives up what it works on, so that another replica, or the next start, takes it up. */
  stop(): Promise<void>;
}

const queue = 'plans';
const beatMs = 400;
// Longer than any pause of a replica that still lives.
const silentS = 15;
const mostAttempts = 3;
const jobSchema = z.object({ marinaId: z.string(), planId: z.string() });
type Job = z.output<typeof jobSchema>;

/**
 * Works on plans that are asked for, one at a time, by a queue in the database. Any number of replicas may run it: a plan
 * is claimed by one of them. Whoever falls silent loses its plan to the next; a plan that ended three of them fails.
 */
export async function startPlanWorker(
  services: Pick<Services, 'db' | 'inventories' | 'clock'>,
  onError: (error: unknown) => void,
): Promise<PlanWorker> {
  const { db } = services;
  // The queue shares the pool: the embedded database has one connection, which it takes for one statement at a time.
  const executeSql = (text: string, values?: unknown[]) => db.pool.query(text, values);
  const boss = new PgBoss({ db: { executeSql }, schedule: false });
  boss.on('error', onError);
  await boss.start();
  await boss.createQueue(queue);
  const stopping = new AbortController();
  const settings = { batchSize: 1, pollingIntervalSeconds: 0.5 };
  await boss.work<Job>(queue, settings, async (jobs) => {
    for (const { data } of jobs) {
      try {
        await workOn(services, jobSchema.parse(data), stopping.signal);
      } catch (error) {
        // The plan is silent from now on, and will be taken up again.
        onError(error);
      }
    }
  });
  const sending = (async () => {
    while (!stopping.signal.aborted) {
      try {
        for (const job of await plansToSend(services))
          await boss.send(queue, job, { retryLimit: 0, expireInMinutes: 15 });
      } catch (error) {
        onError(error);
      }
      await wait(1_000, undefined, { signal: stopping.signal, ref: false }).catch(() => {});
    }
  })();
  return {
    stop: async () => {
      stopping.abort();
      await sending;
      await boss.stop({ graceful: true, wait: true, close: false, timeout: 5_000 });
    },
  };
}

/** New plans, plans whose worker has fallen silent, and plans whose job was lost before anybody claimed it. */
async function plansToSend({ db }: Pick<Services, 'db'>): Promise<Job[]> {
  const { rows } = await db.pool.query<{ marina_id: string; id: string; state: string }>(
    `UPDATE plan SET sent_at = now(),
       state = CASE WHEN attempts >= $2 THEN 'failed' ELSE 'queued' END,
       ended_at = CASE WHEN attempts >= $2 THEN now() END,
       failure = CASE WHEN attempts >= $2 THEN 'The service ended each time while it worked on this plan.' END
     WHERE (state = 'queued' AND (sent_at IS NULL OR sent_at < now() - interval '1 minute'))
        OR (state = 'running' AND heartbeat_at < now() - make_interval(secs => $1))
     RETURNING marina_id, id, state`,
    [silentS, mostAttempts],
  );
  return rows
    .filter(({ state }) => state === 'queued')
    .map(({ marina_id, id }) => ({ marinaId: marina_id, planId: id }));
}

async function workOn(
  services: Pick<Services, 'db' | 'inventories' | 'clock'>,
  { marinaId, planId }: Job,
  stopping: AbortSignal,
): Promise<void> {
  const { db, clock } = services;
  const claimed = await db.prisma.plan.updateManyAndReturn({
    where: { marinaId, id: planId, state: 'queued' },
    data: { state: 'running', attempts: { increment: 1 }, heartbeatAt: new Date() },
  });
  const [row] = claimed;
  if (row === undefined) return;
  const { attempts } = row;
  // Only whoever claimed it last may write: one that was taken for dead may still be alive.
  const mine = { marinaId, id: planId, state: 'running', attempts };
  const abort = new AbortController();
  let progress: PlanProgress | null = null;
  let isLost = false;
  const beat = async () => {
    const data = { heartbeatAt: new Date(), progress: progress === null ? Prisma.DbNull : plainJson(progress) };
    const [own] = await db.prisma.plan.updateManyAndReturn({ where: mine, data, select: { stopWanted: true } });
    isLost = own === undefined;
    if (isLost || own?.stopWanted || stopping.aborted) abort.abort();
  };
  const ended = new AbortController();
  const beating = (async () => {
    while (!ended.signal.aborted) {
      await beat();
      await wait(beatMs, undefined, { signal: ended.signal }).catch(() => {});
    }
  })();
  const write = (data: Prisma.PlanUpdateManyMutationInput) =>
    db.prisma.plan.updateMany({ where: mine, data: { ...data, endedAt: new Date(clock()) } });
  try {
    const asked = newPlanSchema.parse(row.asked);
    const { question, standsOn } = await db.prisma.$transaction(
      (tx) => loadPlanQuestion(tx, services, marinaId, asked, clock()),
      { isolationLevel: Prisma.TransactionIsolationLevel.RepeatableRead, maxWait: 30_000, timeout: 40_000 },
    );
    const outcome = await runApart(question, asked.timeLimitS, abort.signal, (each) => {
      progress = each;
    });
    if (isLost) return;
    if (stopping.aborted) {
      // Asked to end with the service: whoever starts next takes it up at once, and it does not count as a try.
      await db.prisma.plan.updateMany({
        where: mine,
        data: { state: 'queued', sentAt: null, attempts: { decrement: 1 } },
      });
      return;
    }
    if (outcome.state === 'failed') await write({ state: 'failed', failure: outcome.message });
    else {
      const result = outcome.run === null ? Prisma.DbNull : plainJson(resultOf(outcome.run));
      await write({ state: outcome.state, result, standsOn: plainJson(standsOn) });
    }
  } catch (error) {
    if (!(error instanceof Problem)) throw error;
    await write({ state: 'failed', failure: error.message });
  } finally {
    ended.abort();
    await beating;
  }
}

function resultOf({ stopped: _, placements, ...run }: PlanRun) {
  const times = (at: number) => new Date(at).toISOString();
  return {
    ...run,
    placements: placements.map(({ from, until, ...rest }) => ({ ...rest, from: times(from), until: times(until) })),
  };
}
