import type { PlanQuestion } from '../../core/berths/plan/question.ts';
import { indexInventory } from '../../core/inventory/index-inventory.ts';
import type { Inventory } from '../../core/inventory/inventory.ts';
import { type PlanProgress, type PlanRun, runPlan } from './run-plan.ts';

/** A question that can be sent to another process. */
export interface SentQuestion extends Omit<PlanQuestion, 'index'> {
  readonly inventory: Inventory;
}

export type ToPlanChild = { readonly ask: SentQuestion; readonly timeLimitS: number } | { readonly stop: true };
export type FromPlanChild =
  | { readonly progress: PlanProgress }
  | { readonly done: PlanRun }
  | { readonly failed: string };

/** The process that makes one plan: neither its arithmetic nor its solver keeps a request waiting. */
const abort = new AbortController();
process.on('message', (message: ToPlanChild) => {
  if ('stop' in message) return abort.abort();
  const { inventory, ...rest } = message.ask;
  const options = {
    timeLimitS: message.timeLimitS,
    signal: abort.signal,
    onProgress: (progress: PlanProgress) => send({ progress }),
  };
  Promise.resolve()
    .then(() => runPlan({ ...rest, index: indexInventory(inventory) }, options))
    .then(
      (done) => send({ done }),
      (error: unknown) => send({ failed: error instanceof Error ? error.message : String(error) }),
    )
    .finally(() => process.disconnect());
});
// Whoever asked is gone: nobody will read the answer.
process.on('disconnect', () => process.exit(0));

function send(message: FromPlanChild): void {
  if (process.connected) process.send?.(message);
}
