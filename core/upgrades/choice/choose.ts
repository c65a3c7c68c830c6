import { type ChoiceProblem, type ChosenSet, choiceModel, type ModelOptions } from './choice.ts';

/** Solves one model exactly: the variables' values, or null where nothing is feasible. Whoever calls brings a solver. */
export type SolveLp = (lp: string) => Promise<ReadonlyMap<string, number> | null>;

/** The best set under the budgets, and of those equally good the cheapest; null where nothing is feasible. */
export async function bestSet(
  problem: ChoiceProblem,
  solve: SolveLp,
  without: readonly ChosenSet[] = [],
): Promise<ChosenSet | null> {
  const run = async (options: ModelOptions) => {
    const model = choiceModel(problem, { ...options, without });
    const values = await solve(model.lp);
    return values === null ? null : model.read(values);
  };
  const most = await run({});
  if (most === null || problem.candidates.length === 0) return most;
  // A hair less than the greatest, for the solver's rounding; benefits are whole or tenths, never so fine.
  return (await run({ leastBenefit: most.benefit - 1e-6 * Math.max(1, Math.abs(most.benefit)) })) ?? most;
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
  solve: SolveLp,
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
  solve: SolveLp,
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
