import { performance } from 'node:perf_hooks';
import { balanceLines } from '../../core/berths/plan/balance.ts';
import type { Book } from '../../core/berths/plan/book.ts';
import { buildModel, type PlanModel } from '../../core/berths/plan/build-model.ts';
import { aimsReached, columnsOfPlan, placeInTurn, readSolution } from '../../core/berths/plan/decode.ts';
import {
  aimsOf,
  balanceAims,
  isBetterPlan,
  judgePlaces,
  keepsPromises,
  type Plan,
  type Proof,
  proofOf,
  unplacedOf,
  verifyPlan,
} from '../../core/berths/plan/plan.ts';
import { type PlanState, startPlan } from '../../core/berths/plan/plan-state.ts';
import { pricePlan } from '../../core/berths/plan/price-plan.ts';
import type { PlanQuestion } from '../../core/berths/plan/question.ts';
import type { LinearModel, LinearSolution, ObjectiveLevel } from '../../core/linear/linear-model.ts';
import type { Priced } from '../../core/linear/prices.ts';
import { restrictModel } from '../../core/linear/restrict-model.ts';
import { levelBounds, type WeighedLevels, weighedSum, weighLevels } from '../../core/linear/weighed-levels.ts';
import { type SolveOptions, solve } from '../solver/solve.ts';
import { smallestConflict } from './smallest-conflict.ts';

export interface PlanProgress {
  /** Seconds since the beginning. */
  readonly afterS: number;
  readonly aim: string;
  readonly unit: string;
  /** Of the aim that is being worked on: the best so far and what no plan can pass. */
  readonly best: number | null;
  readonly bound: number | null;
}

export interface RunPlanOptions {
  readonly timeLimitS: number;
  readonly signal?: AbortSignal | null;
  readonly onProgress?: (progress: PlanProgress) => void;
}

export interface PlanRun extends Plan {
  readonly stopped: boolean;
  readonly figures: PlanFigures;
}

/** What it took. */
export interface PlanFigures {
  readonly columns: number;
  readonly rows: number;
  readonly berthClasses: number;
  /** How often the model was sharpened by what a solution showed, and solved again. */
  readonly rounds: number;
  readonly secondsInAll: number;
  readonly secondsSolving: number;
  /** What the solver itself said where it failed. */
  readonly solverMessage: string | null;
}

// Where every berth has become a class of its own, more columns than this would only be solved in part.
const mostColumns = 150_000;
// Reading, evening out lines and saying why takes its part of the time; judging again takes what a few of the places take.
const shareOfReading = 0.12;
const judgedToSee = 20;
const mostShareOfJudging = 0.5;
// Prices go as far as they get in this time: a solver proves the rest.
const shareOfPrices = 0.2;
const mostPricesS = 4;
// Evening out the lines of the feeders, which nothing before depends on.
const shareOfBalancing = 0.05;
const mostBalancingS = 2;
// How often limits that a choice by prices passes are made known to the model before a solver is asked.
const mostPricedAgain = 12;

/**
 * Makes a plan: question in, result out; it writes nothing and asks nobody. Never rejects for what a solver does: the
 * status says it. A stop by `signal` is answered with the best plan found until then.
 *
 * Stays are placed in turn first. Then prices bound the model and find better plans; a solver is asked only for what
 * they leave open, without the columns that they prove to be in no better plan. What a solution passes in truth sharpens
 * the model, and all begins again.
 */
export async function runPlan(question: PlanQuestion, options: RunPlanOptions): Promise<PlanRun> {
  const { timeLimitS, signal = null, onProgress } = options;
  const start = performance.now();
  const afterS = () => (performance.now() - start) / 1_000;
  let state = startPlan(question);
  let best: Book = placeInTurn(state);
  const solvingUntilS = timeLimitS * (1 - shareOfReading) - judgingS(state, best, timeLimitS);
  const proofs: Proof[] = [];
  let levels: readonly ObjectiveLevel[] = [];
  let rounds = 0;
  let pricedAgain = 0;
  let secondsSolving = 0;
  let solverMessage: string | null = null;
  let rows = 0;
  const figures = (): PlanFigures => ({
    columns: state.columns.length,
    rows,
    berthClasses: state.classes.berths.length,
    rounds,
    secondsInAll: afterS(),
    secondsSolving,
    solverMessage,
  });
  const reachedNow = () => aimsReached(state, best.placed());
  const takeIfBetter = (book: Book) => {
    if (!keepsPromises(state, book)) return;
    const isFirst = !keepsPromises(state, best);
    if (isFirst || isBetterPlan(levels, aimsReached(state, book.placed()), reachedNow())) best = book;
  };
  const isProvenNow = () =>
    keepsPromises(state, best) && aimsOf(state, best, levels, proofs).every(({ bound, value }) => bound === value);
  const tell = (level: number, value: number | null, bound: number | null) => {
    const { name = '', unit = '' } = levels[level] ?? {};
    onProgress?.({ afterS: afterS(), aim: name, unit, best: value, bound });
  };

  for (;;) {
    const plan = buildModel(state);
    const { model } = plan;
    rows = model.rowLower.length;
    levels = model.levels;
    // A stop that came meanwhile is heard here.
    await new Promise((resolve) => setImmediate(resolve));
    if (signal?.aborted || (proofs.length > 0 && solvingUntilS - afterS() <= 0.02)) break;

    const weighed = weighLevels(levels);
    const isKept = keepsPromises(state, best);
    const priced = state.columns.some(({ stay }) => stay.part !== null)
      ? unpriced
      : pricePlan(
          state,
          model,
          weighed,
          isKept ? weighedSum(weighed, reachedNow()) : Number.POSITIVE_INFINITY,
          within(afterS, Math.min(mostPricesS, timeLimitS * shareOfPrices, solvingUntilS - afterS())),
        );
    proofs.push((values) => levelBounds(weighed, values, priced.bound));
    if (priced.best !== null) {
      const { book, next } = readSolution(state, valuesOf(model, priced.best));
      takeIfBetter(book);
      const isOnlyCut = next !== null && next.alone.size === state.alone.size;
      if (isOnlyCut && pricedAgain < mostPricedAgain && !isProvenNow()) {
        pricedAgain += 1;
        state = next;
        continue;
      }
    }
    const [first] = aimsOf(state, best, levels, proofs);
    if (first !== undefined) tell(0, keepsPromises(state, best) ? first.value : null, first.bound);
    if (isProvenNow()) break;

    const leftS = solvingUntilS - afterS();
    if (leftS <= 0.02 || signal?.aborted) break;
    const before = afterS();
    const solution = await solveOpenPart(state, plan, weighed, priced.boundWith, best, {
      timeLimitS: leftS,
      signal,
      onProgress: ({ level, bound, value }) => tell(level, value, bound),
    });
    rounds += 1;
    secondsSolving += afterS() - before;
    solverMessage = solution.message;
    if (solution.status === 'infeasible') {
      const conflict = await smallestConflict(state, { untilS: timeLimitS, afterS, signal });
      return {
        status: 'infeasible',
        aims: [],
        placements: [],
        unplaced: unplacedOf(state, best).filter(({ stayId }) => conflict.includes(stayId)),
        conflict,
        stopped: signal?.aborted ?? false,
        figures: figures(),
      };
    }
    if (solution.values === null) break;
    proofs.push(proofOf(solution.levels));
    const { book, next } = readSolution(state, solution.values);
    takeIfBetter(book);
    if (solution.status !== 'optimal' || next === null || isProvenNow()) break;
    if (next.columns.length > mostColumns) break;
    state = next;
  }

  balanceLines(state, best, within(afterS, Math.min(mostBalancingS, timeLimitS * shareOfBalancing)));
  const { placements, refused } = verifyPlan(state, best);
  const aims = aimsOf(state, best, levels, proofs);
  const isKept = keepsPromises(state, best);
  const isProven = refused.length === 0 && aims.every(({ bound, value }) => bound === value);
  return {
    status: isKept ? (isProven ? 'optimal' : 'feasible') : 'noPlan',
    aims: isKept ? [...aims, ...balanceAims(state, best)] : [],
    placements: isKept ? placements : [],
    unplaced: unplacedOf(state, best),
    conflict: [],
    stopped: signal?.aborted ?? false,
    figures: figures(),
  };
}

// Of a divided stay two columns are taken: prices on single ones would bound nothing.
const unpriced: Priced = { bound: Number.NEGATIVE_INFINITY, boundWith: new Float64Array(), best: null };

/** Solves a model without the columns that no plan better than the best so far can have. */
async function solveOpenPart(
  state: PlanState,
  { model, complete }: PlanModel,
  weighed: WeighedLevels,
  boundWith: Float64Array,
  best: Book,
  options: Pick<SolveOptions, 'timeLimitS' | 'signal' | 'onProgress'>,
): Promise<LinearSolution> {
  const ofBest = keepsPromises(state, best) ? columnsOfPlan(state, best.placed()) : null;
  if (ofBest === null) return solve(model, options);
  const sum = weighedSum(weighed, aimsReached(state, best.placed()));
  // Whole numbers: what is not one less is no better. Where some levels do not count, what is equal may be.
  const most = weighed.isWhole ? sum - 1 + 1e-6 : sum + 1e-6;
  const {
    model: open,
    fromFull,
    toFull,
  } = restrictModel(
    model,
    (column) =>
      column >= state.columns.length || ofBest.has(column) || (boundWith[column] ?? Number.NEGATIVE_INFINITY) <= most,
  );
  const solution = await solve(open, { ...options, start: fromFull(complete(ofBest)) });
  return { ...solution, values: solution.values === null ? null : toFull(solution.values) };
}

/** Seconds that judging the places of a plan again will take, by what some of them take. */
function judgingS(state: PlanState, book: Book, timeLimitS: number): number {
  // The first ones are slow: code that has not run yet.
  judgePlaces(state, book, 0, judgedToSee);
  const start = performance.now();
  const judged = judgePlaces(state, book, judgedToSee, 2 * judgedToSee);
  const seconds = (performance.now() - start) / 1_000;
  const share = judged === 0 ? 0 : state.scene.question.stays.length / judged;
  return Math.min(timeLimitS * mostShareOfJudging, seconds * share);
}

function within(afterS: () => number, seconds: number): () => boolean {
  const until = afterS() + seconds;
  return () => afterS() < until;
}

function valuesOf({ columnLower }: LinearModel, columns: readonly number[]): Float64Array {
  const values = new Float64Array(columnLower.length);
  for (const column of columns) values[column] = 1;
  return values;
}
