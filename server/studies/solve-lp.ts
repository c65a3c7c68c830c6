import { once } from 'node:events';
import { Worker } from 'node:worker_threads';
import { z } from 'zod';
import type { SolveLp } from '../../core/upgrades/choice/choose.ts';

const answerSchema = z.union([
  z.object({ status: z.string(), values: z.array(z.tuple([z.string(), z.number()])) }),
  z.object({ status: z.literal('failed'), message: z.string() }),
]);

/**
 * Gives `work` a solver that runs in a thread of its own, for as long as it needs it. Each model is solved to proven
 * optimality; one that does not end in `timeLimitS` fails, for half an answer would be taken for the best.
 */
export async function withSolver<Result>(work: (solve: SolveLp) => Promise<Result>, timeLimitS = 30): Promise<Result> {
  const worker = new Worker(new URL('./lp-worker.mjs', import.meta.url), { workerData: { timeLimitS } });
  try {
    return await work(async (lp) => {
      worker.postMessage({ lp });
      const [message]: unknown[] = await once(worker, 'message');
      const answer = answerSchema.parse(message);
      if ('message' in answer) throw new Error(`the solver failed: ${answer.message}`);
      if (answer.status === 'Infeasible') return null;
      if (answer.status !== 'Optimal')
        throw new Error(`the solver ended with "${answer.status}" after ${timeLimitS} s`);
      return new Map(answer.values);
    });
  } finally {
    await worker.terminate();
  }
}
