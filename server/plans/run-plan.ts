import { performance } from 'node:perf_hooks';
import type { Book } from '../../core/berths/plan/book.ts';
import { buildModel } from '../../core/berths/plan/build-model.ts';
import { aimsReached, columnsOfPlan, placeInTurn, readSolution } from '../../core/berths/plan/decode.ts';
import { aimsOf, isBetterPlan, keepsPromises, type Plan, unplacedOf, verifyPlan } from '../../core/berths/plan/plan.ts';
import { type PlanState, startPlan } from '../../core/berths/plan/plan-state.ts';
import type { PlanQuestion } from '../../core/berths/plan/question.ts';
import type { LevelResult } from '../../core/linear/linear-model.ts';
import { solve } from '../solver/solve.ts';
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
// Reading, judging again and saying why takes its part of the time.
const shareOfReading = 0.1;

/**
 * Makes a plan: question in, result out; it writes nothing and asks nobody. Never rejects for what a solver does: the
 * status says it. A stop by `signal` is answered with the best plan found until then.
 */
export async function runPlan(question: PlanQuestion, options: RunPlanOptions): Promise<PlanRun> {
  const { timeLimitS, signal = null, onProgress } = options;
  const start = performance.now();
  const afterS = () => (performance.now() - start) / 1_000;
  const solvingUntilS = timeLimitS * (1 - shareOfReading);
  let state = startPlan(question);
  let best: Book = placeInTurn(state);
  let levels: readonly LevelResult[] = [];
  let rounds = 0;
  let secondsSolving = 0;
  let solverMessage: string | null = null;
  const figures = (rows: number): PlanFigures => ({
    columns: state.columns.length,
    rows,
    berthClasses: state.classes.berths.length,
    rounds,
    secondsInAll: afterS(),
    secondsSolving,
    solverMessage,
  });
  let rows = 0;

  for (;;) {
    const { model, complete } = buildModel(state);
    rows = model.rowLower.length;
    if (levels.length === 0) {
      levels = model.levels.map(({ name, unit, sense }) => ({
        name,
        unit,
        sense,
        value: null,
        bound: null,
        proven: false,
      }));
    }
    const leftS = solvingUntilS - afterS();
    if (leftS <= 0.02 || signal?.aborted) break;
    const values = keepsPromises(state, best) ? columnsOfPlan(state, best.placed()) : null;
    const before = afterS();
    const solution = await solve(model, {
      timeLimitS: leftS,
      start: values === null ? null : complete(values),
      signal,
      onProgress: ({ level, bound, value }) => {
        const { name = '', unit = '' } = model.levels[level] ?? {};
        onProgress?.({ afterS: afterS(), aim: name, unit, best: value, bound });
      },
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
        figures: figures(rows),
      };
    }
    if (solution.values === null) break;
    levels = tighter(levels, solution.levels);
    const { book, next } = readSolution(state, solution.values);
    const isFirst = !keepsPromises(state, best);
    if (keepsPromises(state, book)) {
      const [reached, reachedBefore] = [aimsReached(state, book.placed()), aimsReached(state, best.placed())];
      if (isFirst || isBetterPlan(levels, reached, reachedBefore)) best = book;
    }
    if (solution.status !== 'optimal' || next === null || isReached(state, best, solution.levels)) break;
    if (next.columns.length > mostColumns) break;
    state = next;
  }

  const { placements, refused } = verifyPlan(state, best);
  const aims = aimsOf(state, best, levels);
  const isKept = keepsPromises(state, best);
  const isProven = refused.length === 0 && aims.every(({ bound, value }) => bound === value);
  return {
    status: isKept ? (isProven ? 'optimal' : 'feasible') : 'noPlan',
    aims: isKept ? aims : [],
    placements: isKept ? placements : [],
    unplaced: unplacedOf(state, best),
    conflict: [],
    stopped: signal?.aborted ?? false,
    figures: figures(rows),
  };
}

/** What was proven of the first aim before holds as well: every model allows all plans. */
function tighter(before: readonly LevelResult[], after: readonly LevelResult[]): LevelResult[] {
  return after.map((level, i) => {
    const known = before[i]?.bound ?? null;
    if (i > 0 || known === null || level.bound === null) return level;
    return { ...level, bound: level.sense === 'most' ? Math.min(known, level.bound) : Math.max(known, level.bound) };
  });
}

function isReached(state: PlanState, book: Book, levels: readonly LevelResult[]): boolean {
  const reached = aimsReached(state, book.placed());
  return levels.every(({ value }, i) => value !== null && Math.abs(value - (reached[i] ?? 0)) < 1e-6);
}
