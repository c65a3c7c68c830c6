import { type PlanClasses, planClasses } from './classes.ts';
import { type PlanColumn, planColumns } from './columns.ts';
import { firstCuts, type LimitCut, type SetCut } from './limit-cuts.ts';
import type { PlanQuestion } from './question.ts';
import { type PlanScene, planScene } from './scene.ts';

/** A question on its way to a plan: what has been learned so far from solutions that did not hold. */
export interface PlanState {
  readonly scene: PlanScene;
  /** Berths, units and outlets that are a class of their own. */
  readonly alone: ReadonlySet<string>;
  readonly cuts: readonly LimitCut[];
  readonly setCuts: readonly SetCut[];
  readonly classes: PlanClasses;
  readonly columns: readonly PlanColumn[];
}

export function startPlan(question: PlanQuestion): PlanState {
  const scene = planScene(question);
  const cuts = firstCuts(scene, (limit) => outletsBelow(scene, limit));
  return stateOf(scene, new Set(), cuts, []);
}

function stateOf(
  scene: PlanScene,
  alone: ReadonlySet<string>,
  cuts: readonly LimitCut[],
  setCuts: readonly SetCut[],
): PlanState {
  const classes = planClasses(scene, alone);
  return { scene, alone, cuts, setCuts, classes, columns: planColumns(scene, classes) };
}

/** The same with more to hold to, and perhaps more classes of their own. */
export function sharpened(
  state: PlanState,
  alone: ReadonlySet<string>,
  cuts: readonly LimitCut[],
  setCuts: readonly SetCut[],
): PlanState {
  const more = { cuts: [...state.cuts, ...cuts], setCuts: [...state.setCuts, ...setCuts] };
  // Classes only get fewer members where something has become one of its own.
  return alone.size === state.alone.size ? { ...state, ...more } : stateOf(state.scene, alone, more.cuts, more.setCuts);
}

/** How many outlets of each load hang on a limit's part. */
function outletsBelow({ limits, question }: PlanScene, limit: number): number[] {
  const capacity = limits[limit];
  const counts = new Array<number>(capacity?.loadCount ?? 0).fill(0);
  for (const { id } of question.index.inventory.outlets) {
    const load = capacity?.indexOf(id) ?? -1;
    if (load >= 0) counts[load] = (counts[load] ?? 0) + 1;
  }
  return counts;
}
