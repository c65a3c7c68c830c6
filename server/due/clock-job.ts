import { setTimeout as wait } from 'node:timers/promises';
import type { Services } from '../services.ts';

export interface ClockJob {
  stop(): Promise<void>;
}

const everyMs = 15_000;

/**
 * Looks after every marina by the clock, so that what is due happens though nobody asks: whoever reads the database or
 * watches the events is told in time. Any number of replicas may run it; whatever is due is done once, in a marina
 * transaction that finds nothing left where another was first.
 */
export function startClockJob(
  { db, due, clock }: Pick<Services, 'db' | 'due' | 'clock'>,
  onError: (error: unknown) => void,
  every = everyMs,
): ClockJob {
  const stopping = new AbortController();
  const running = (async () => {
    while (!stopping.signal.aborted) {
      try {
        const { rows } = await db.pool.query<{ id: string }>('SELECT id FROM marina ORDER BY id');
        for (const { id } of rows) if (!stopping.signal.aborted) await due.catchUp(id, clock());
      } catch (error) {
        // The database may be gone for a while: the next look finds what is due.
        onError(error);
      }
      await wait(every, undefined, { signal: stopping.signal, ref: false }).catch(() => {});
    }
  })();
  return {
    stop: async () => {
      stopping.abort();
      await running;
    },
  };
}
