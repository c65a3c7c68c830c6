import { setImmediate as turn } from 'node:timers/promises';

/** Runs a long computation of core step by step and lets other requests have their turn in between; `onStep` may end it. */
export async function inTurns<Result>(
  steps: Generator<void, Result>,
  onStep: () => Promise<void> = async () => {},
): Promise<Result> {
  for (;;) {
    const step = steps.next();
    if (step.done) return step.value;
    await turn();
    await onStep();
  }
}
