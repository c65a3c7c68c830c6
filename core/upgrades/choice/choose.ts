import type { LinearModel, LinearSolution } from '../../linear/linear-model.ts';
import { type Budgeted, budgetedClosure } from './budgeted-closure.ts';
import { type ChoiceProblem, type ChosenSet, choiceModel, costUnit, requireSound, worthOf } from './choice.ts';
import type { ClosureProblem } from './closure.ts';

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

// A curve that needs more branches than this is not worth the wait: some ten seconds.
const mostBranches = 100_000;

/**
 * The best set at each of so many budgets from nothing to everything, in one stage of `benefitYears`, each proven by branch
 * and bound. From the largest budget down: what it buys is best for every smaller budget that pays for it. It pauses
 * after each branch.
 * @throws RangeError for problems that are none, and where the proof would take too long.
 */
export function* budgetCurve(
  problem: Pick<ChoiceProblem, 'candidates' | 'benefits'>,
  benefitYears: number,
  points: number,
): Generator<void, CurvePoint[]> {
  const { candidates } = problem;
  const total = candidates.reduce((sum, { costMinor }) => sum + costMinor, 0n);
  const whole: ChoiceProblem = { ...problem, stages: [{ id: 'now', budgetMinor: total, benefitYears }] };
  const { closure, unit } = closureOf(whole, benefitYears);
  const curve: CurvePoint[] = [];
  let last: Budgeted | null = null;
  let branches = 0;
  for (let point = points; point >= 0; point--) {
    const budgetMinor = (total * BigInt(point)) / BigInt(Math.max(1, points));
    const budget = Number(budgetMinor / unit);
    if (last === null || last.cost > budget) {
      const search = budgetedClosure(closure, budget);
      let step = search.next();
      for (; !step.done; step = search.next()) {
        branches += 1;
        if (branches > mostBranches)
          throw new RangeError('The curve is not proven in reasonable time. Ask for fewer candidates or benefits.');
        yield;
      }
      last = step.value;
    }
    const { chosen } = last;
    const stageOf = new Map(candidates.flatMap(({ id }, c) => (chosen[c] === 1 ? [[id, 'now'] as const] : [])));
    curve.push({ budgetMinor, set: { stageOf, ...worthOf(whole, stageOf) } });
  }
  return curve.reverse();
}

/** The problem in places and whole numbers: costs in their greatest common divisor, benefits as the model counts them. */
function closureOf(problem: ChoiceProblem, benefitYears: number): { closure: ClosureProblem; unit: bigint } {
  const { candidates, benefits } = problem;
  requireSound(problem);
  const unit = costUnit(candidates);
  const place = new Map(candidates.map(({ id }, c) => [id, c]));
  const places = (ids: readonly string[]) => ids.flatMap((id) => place.get(id) ?? []);
  const worths = benefits.map(({ value }) => value * benefitYears);
  const scale = worths.every(Number.isInteger) ? 1 : 1000;
  return {
    unit,
    closure: {
      costs: candidates.map(({ costMinor }) => Number(costMinor / unit)),
      requires: candidates.map(({ requires }) => places(requires)),
      benefits: benefits.map(({ needs }, b) => ({
        value: Math.round((worths[b] ?? 0) * scale),
        needs: places(needs),
      })),
    },
  };
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
