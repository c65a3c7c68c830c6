import type { LinearModel, LinearSolution } from '../../linear/linear-model.ts';
import { type ChoiceProblem, type ChosenSet, choiceModel } from './choice.ts';

/** Solves one model. Whoever calls brings a solver. */
export type SolveLinear = (model: LinearModel) => Promise<LinearSolution>;

/**
 * The best set under the budgets, and of those equally good the cheapest; null where nothing is feasible.
 * @throws Error where the solver does not prove it: half an answer would be taken for the best.
 */
export async function bestSet(
  problem: ChoiceProblem,
  solve: SolveLinear,
  without: readonly ChosenSet[] = [],
): Promise<ChosenSet | null> {
  const { model, read } = choiceModel(problem, without);
  const { status, values, message } = await solve(model);
  if (status === 'infeasible') return null;
  if (status !== 'optimal' || values === null)
    throw new Error(
      `The best set is not proven (${status}${message === null ? '' : `: ${message}`}). Ask for fewer candidates, or more time.`,
    );
  return read(values);
}

export interface CurvePoint {
  readonly budgetMinor: bigint;
  readonly set: ChosenSet;
}

/** The best set at each of so many budgets from nothing to everything, in one stage of `benefitYears`. */
export async function budgetCurve(
  problem: Pick<ChoiceProblem, 'candidates' | 'benefits'>,
  benefitYears: number,
  points: number,
  solve: SolveLinear,
): Promise<CurvePoint[]> {
  const total = problem.candidates.reduce((sum, { costMinor }) => sum + costMinor, 0n);
  const curve: CurvePoint[] = [];
  for (let point = 0; point <= points; point++) {
    const budgetMinor = (total * BigInt(point)) / BigInt(Math.max(1, points));
    const set = await bestSet({ ...problem, stages: [{ id: 'now', budgetMinor, benefitYears }] }, solve);
    if (set !== null) curve.push({ budgetMinor, set });
  }
  return curve;
}

export interface RunnerUp {
  readonly set: ChosenSet;
  /** Changes in it and not in the best, and the other way round. */
  readonly added: readonly string[];
  readonly leftOut: readonly string[];
  readonly benefitLost: number;
  readonly costSavedMinor: bigint;
  /** What decides, in words. */
  readonly decides: string;
}

/** The next best sets, and what each of them gives up for what it saves. */
export async function runnersUp(
  problem: ChoiceProblem,
  best: ChosenSet,
  count: number,
  solve: SolveLinear,
): Promise<RunnerUp[]> {
  const found: ChosenSet[] = [best];
  const runners: RunnerUp[] = [];
  while (runners.length < count) {
    const set = await bestSet(problem, solve, found);
    if (set === null) break;
    found.push(set);
    const added = [...set.stageOf.keys()].filter((id) => !best.stageOf.has(id));
    const leftOut = [...best.stageOf.keys()].filter((id) => !set.stageOf.has(id));
    const benefitLost = best.benefit - set.benefit;
    const costSavedMinor = best.costMinor - set.costMinor;
    runners.push({
      set,
      added,
      leftOut,
      benefitLost,
      costSavedMinor,
      decides: inWords(added, leftOut, benefitLost, costSavedMinor),
    });
  }
  return runners;
}

function inWords(
  added: readonly string[],
  leftOut: readonly string[],
  benefitLost: number,
  costSavedMinor: bigint,
): string {
  const swap = [
    ...(leftOut.length > 0 ? [`without ${leftOut.join(', ')}`] : []),
    ...(added.length > 0 ? [`with ${added.join(', ')}`] : []),
  ].join(' and ');
  const benefit = benefitLost === 0 ? 'the same benefit' : `${Math.round(benefitLost * 1000) / 1000} less benefit`;
  const cost =
    costSavedMinor === 0n
      ? 'the same cost'
      : costSavedMinor > 0n
        ? `${costSavedMinor} minor units less`
        : `${-costSavedMinor} minor units more`;
  return `${swap}: ${benefit} for ${cost}.`;
}
