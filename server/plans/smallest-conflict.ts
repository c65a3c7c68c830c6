import { buildModel } from '../../core/berths/plan/build-model.ts';
import type { PlanState } from '../../core/berths/plan/plan-state.ts';
import { solve } from '../solver/solve.ts';

interface Budget {
  readonly untilS: number;
  readonly afterS: () => number;
  readonly signal: AbortSignal | null;
}

/**
 * Promised stays that cannot all be kept, such that leaving out any one of them makes the others possible. Halves are
 * left out while what remains still conflicts, then single stays. When the time ends, what is left by then.
 */
export async function smallestConflict(state: PlanState, { untilS, afterS, signal }: Budget): Promise<string[]> {
  const promised = state.scene.question.stays.filter((stay) => stay.promised);
  const placeable = new Set(state.columns.map(({ stay }) => stay.id));
  const hopeless = promised.find(({ id }) => !placeable.has(id));
  if (hopeless !== undefined) return [hopeless.id];
  let kept = promised.map(({ id }) => id);
  const conflicts = async (ids: readonly string[]) => {
    const { model } = buildModel(state, new Set(ids));
    const timeLimitS = Math.max(0.1, untilS - afterS());
    return (await solve({ ...model, levels: [] }, { timeLimitS, signal })).status === 'infeasible';
  };
  for (let size = Math.ceil(kept.length / 2); ; size = Math.ceil(size / 2)) {
    for (let at = 0; at < kept.length; ) {
      if (afterS() > untilS || signal?.aborted) return kept;
      const without = [...kept.slice(0, at), ...kept.slice(at + size)];
      if (await conflicts(without)) kept = without;
      else at += size;
    }
    if (size <= 1) return kept;
  }
}
