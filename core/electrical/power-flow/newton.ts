import type { Equations, NonlinearLoads } from './equations.ts';
import { loadAsAdmittance, loadCurrent, loadDerivative, voltsAcross } from './load-current.ts';
import { type SparseLu, sparseLu } from './sparse-lu.ts';

export type NewtonResult =
  | { readonly outcome: 'converged'; readonly unknowns: Float64Array; readonly iterations: number }
  | { readonly outcome: 'singular' | 'tooMeshed'; readonly unknown: number }
  | { readonly outcome: 'notConverged'; readonly worstLoad: number };

/** Newton's method doubles its digits at each step: a case that needs more than this has no answer near its start. */
const mostIterations = 60;
const shortestStep = 2 ** -12;
/** A step that leaves more than this part of the mismatch asks for new derivatives; otherwise the old ones serve on. */
const goodStep = 0.02;
/**
 * A load of constant power asks for nothing at endless volts, so an open circuit would seem to be solved there. A load at
 * more than this many times the highest volts without load is no answer.
 */
const highestRise = 10;
/** Volts below this part of the highest source's are rounding. */
const noVolts = 1e-10;
/** Rounding allowed in each row, as a part of the sum of its terms, and of the largest such sum among rows like it. */
const closeEnough = 1e-12;
const closeEnoughOverall = 1e-14;
/** Where rounding stops further progress, this is still accepted. */
const acceptable = 1e-10;
/** The first guess joins loads by admittances this small against their own size. */
const faint = 1e-3;

/**
 * Solves the linear equations with the loads on top by Newton's method in real 2 x 2 blocks, from the volts at next to
 * no load, and where that fails from the loads as constant impedances.
 */
export function solveEquations(equations: Equations): NewtonResult {
  const { unknownCount, given, loads } = equations;
  const unknowns = Float64Array.from(given);
  if (unknownCount === 0) return { outcome: 'converged', unknowns, iterations: 0 };
  const solver = blockSolver(equations);

  const highestV = highestGivenV(equations);
  const singular = solver.factor((at, out) => loadAsAdmittance(loads, at, highestV * highestV, faint, out));
  if (singular !== null) return singular;
  solver.solve(unknowns);

  const noLoad = unknowns.slice();
  const result = iterate(equations, solver, unknowns, noLoad);
  if (result.outcome === 'converged' || loads.count === 0) return result;
  unknowns.set(given);
  const failed = solver.factor((at, out) => loadAsAdmittance(loads, at, squareAcross(loads, at, noLoad), 1, out));
  if (failed !== null) return result;
  solver.solve(unknowns);
  return iterate(equations, solver, unknowns, noLoad);
}

export interface PreparedNewton {
  /** The same equations with other loads, from volts that are near theirs; null: from those without loads. */
  readonly solve: (equations: Equations, near: Float64Array | null) => NewtonResult;
}

/** Chooses pivots and finds the volts without loads once, for many loads; null where there are none. */
export function prepareNewton(equations: Equations): PreparedNewton | null {
  const unloaded = { ...equations, loads: noLoads };
  const chosen = blockSolver(unloaded);
  const noLoad = Float64Array.from(equations.given);
  if (noLoad.length === 0 || chosen.factor(noBlock) !== null) return null;
  chosen.solve(noLoad);
  return {
    solve: (loaded, near) => {
      const solver = blockSolver(loaded, chosen.pivots());
      if (loaded.loads.count > 0) return iterate(loaded, solver, (near ?? noLoad).slice(), noLoad);
      // The factors at hand may be those of other loads.
      solver.factor(noBlock);
      return iterate(loaded, solver, noLoad.slice(), noLoad);
    },
  };
}

const noBlock = (): void => {};

const noLoads: NonlinearLoads = {
  count: 0,
  elements: [],
  isConstantCurrent: new Uint8Array(0),
  powerW: new Float64Array(0),
  reactivePowerVar: new Float64Array(0),
  fromUnknown: new Int32Array(0),
  toUnknown: new Int32Array(0),
  entries: new Int32Array(0),
};

function iterate(
  equations: Equations,
  solver: BlockSolver,
  unknowns: Float64Array,
  noLoad: Float64Array,
): NewtonResult {
  const { loads } = equations;
  const size = unknowns.length;
  let residual = new Float64Array(size);
  let nextResidual = new Float64Array(size);
  const step = new Float64Array(size);
  const trial = new Float64Array(size);
  const terms = new Float64Array(size / 2);
  let state = mismatch(equations, unknowns, residual, terms);
  let iterations = 0;
  // Without loads the factors at hand are exact: a first step would only repeat them.
  let isFresh = loads.count === 0;
  let isDue = !isFresh;
  for (; iterations < mostIterations && state.ratio > 1; iterations++) {
    if (isDue) {
      const singular = solver.factor((at, out) =>
        loadDerivative(loads, at, voltsAcross(loads, at, unknowns, 0), voltsAcross(loads, at, unknowns, 1), out),
      );
      if (singular !== null) break;
      isFresh = true;
    }
    step.set(residual);
    solver.solve(step);
    let length = 1;
    let next = state;
    for (; length >= shortestStep; length /= 2) {
      for (let at = 0; at < size; at++) trial[at] = (unknowns[at] as number) - length * (step[at] as number);
      next = mismatch(equations, trial, nextResidual, terms);
      // With older derivatives only a good full step will do.
      if (next.merit < state.merit || !isFresh) break;
    }
    if (!(next.merit < state.merit)) {
      // With fresh derivatives no length of step is any better: rounding alone is left, or there is no answer.
      if (isFresh) break;
      isDue = true;
      continue;
    }
    if (highestSquare(loads, trial) > highestRise * highestRise * highestSquare(loads, noLoad)) {
      unknowns.set(trial);
      return { outcome: 'notConverged', worstLoad: mostRaised(loads, trial) };
    }
    isDue = next.merit > goodStep * goodStep * state.merit;
    isFresh = loads.count === 0;
    unknowns.set(trial);
    [residual, nextResidual] = [nextResidual, residual];
    state = next;
  }
  // A load at 0 V but for rounding is short-circuited or stands between equal volts: nothing serves it.
  const nothing = (noVolts * highestGivenV(equations)) ** 2;
  const unserved = loads.elements.findIndex((_, at) => squareAcross(loads, at, unknowns) <= nothing);
  if (unserved >= 0) return { outcome: 'notConverged', worstLoad: unserved };
  if (state.ratio <= acceptable / closeEnough) return { outcome: 'converged', unknowns, iterations };
  if (loads.count > 0) return { outcome: 'notConverged', worstLoad: mostDepressed(loads, noLoad, unknowns) };
  const worst = residual.reduce((most, value, at) => (Math.abs(value) > Math.abs(residual[most] ?? 0) ? at : most), 0);
  return { outcome: 'singular', unknown: worst >> 1 };
}

interface Mismatch {
  /** Sum of squares of what is left over in every row. */
  readonly merit: number;
  /** The worst row against what rounding allows it: at most 1 when solved. */
  readonly ratio: number;
}

const current = new Float64Array(2);

/** Writes what each row is out by into `residual`, and the sum of its terms without sign into `terms`. */
function mismatch(
  { pattern, linear, given, loads, voltsCount }: Equations,
  unknowns: Float64Array,
  residual: Float64Array,
  terms: Float64Array,
): Mismatch {
  const { size, columnStart, row } = pattern;
  for (let at = 0; at < size; at++) {
    const re = given[2 * at] as number;
    const im = given[2 * at + 1] as number;
    residual[2 * at] = -re;
    residual[2 * at + 1] = -im;
    terms[at] = Math.abs(re) + Math.abs(im);
  }
  for (let column = 0; column < size; column++) {
    const x = unknowns[2 * column] as number;
    const y = unknowns[2 * column + 1] as number;
    const length = Math.abs(x) + Math.abs(y);
    for (let at = columnStart[column] as number; at < (columnStart[column + 1] as number); at++) {
      const a = linear[2 * at] as number;
      const b = linear[2 * at + 1] as number;
      const target = row[at] as number;
      residual[2 * target] = (residual[2 * target] as number) + (a * x - b * y);
      residual[2 * target + 1] = (residual[2 * target + 1] as number) + (a * y + b * x);
      terms[target] = (terms[target] as number) + (Math.abs(a) + Math.abs(b)) * length;
    }
  }
  for (let at = 0; at < loads.count; at++) {
    loadCurrent(loads, at, voltsAcross(loads, at, unknowns, 0), voltsAcross(loads, at, unknowns, 1), current);
    const re = current[0] as number;
    const im = current[1] as number;
    const length = Math.abs(re) + Math.abs(im);
    const from = loads.fromUnknown[at] as number;
    if (from >= 0) {
      residual[2 * from] = (residual[2 * from] as number) + re;
      residual[2 * from + 1] = (residual[2 * from + 1] as number) + im;
      terms[from] = (terms[from] as number) + length;
    }
    const to = loads.toUnknown[at] as number;
    if (to >= 0) {
      residual[2 * to] = (residual[2 * to] as number) - re;
      residual[2 * to + 1] = (residual[2 * to + 1] as number) - im;
      terms[to] = (terms[to] as number) + length;
    }
  }
  // Sums of amperes are held against amperes, volts along branches against volts.
  let largestA = 0;
  let largestV = 0;
  for (let at = 0; at < size; at++) {
    if (at < voltsCount) largestA = Math.max(largestA, terms[at] as number);
    else largestV = Math.max(largestV, terms[at] as number);
  }
  let merit = 0;
  let ratio = 0;
  for (let at = 0; at < size; at++) {
    const re = residual[2 * at] as number;
    const im = residual[2 * at + 1] as number;
    merit += re * re + im * im;
    const out = Math.abs(re) + Math.abs(im);
    const overall = at < voltsCount ? largestA : largestV;
    if (out > 0) ratio = Math.max(ratio, out / (closeEnough * (terms[at] as number) + closeEnoughOverall * overall));
  }
  return Number.isFinite(merit) ? { merit, ratio } : hopeless;
}

const hopeless: Mismatch = { merit: Number.POSITIVE_INFINITY, ratio: Number.POSITIVE_INFINITY };

function highestGivenV({ given }: Equations): number {
  let highest = 0;
  for (const value of given) highest = Math.max(highest, Math.abs(value));
  return highest;
}

function squareAcross(loads: NonlinearLoads, at: number, unknowns: Float64Array): number {
  return voltsAcross(loads, at, unknowns, 0) ** 2 + voltsAcross(loads, at, unknowns, 1) ** 2;
}

/** The load whose volts fell furthest from where they were at no load, or which has none even then. */
function mostDepressed(loads: NonlinearLoads, noLoad: Float64Array, unknowns: Float64Array): number {
  let worst = 0;
  let lowest = Number.POSITIVE_INFINITY;
  const nothing = 1e-18 * highestSquare(loads, noLoad);
  for (let at = 0; at < loads.count; at++) {
    const before = squareAcross(loads, at, noLoad);
    const left = before > nothing ? squareAcross(loads, at, unknowns) / before : -1;
    if (left < lowest) {
      worst = at;
      lowest = left;
    }
  }
  return worst;
}

function mostRaised(loads: NonlinearLoads, unknowns: Float64Array): number {
  let worst = 0;
  for (let at = 1; at < loads.count; at++) {
    if (squareAcross(loads, at, unknowns) > squareAcross(loads, worst, unknowns)) worst = at;
  }
  return worst;
}

/** The highest volts squared across any load. */
function highestSquare(loads: NonlinearLoads, unknowns: Float64Array): number {
  let highest = 0;
  for (let at = 0; at < loads.count; at++) highest = Math.max(highest, squareAcross(loads, at, unknowns));
  return highest;
}

type Unfactored = Extract<NewtonResult, { readonly outcome: 'singular' | 'tooMeshed' }>;

interface BlockSolver {
  /** Factors the linear equations with one block for each load; what keeps it from that, or null. */
  factor(blockOf: (load: number, out: Float64Array) => void): Unfactored | null;
  solve(vector: Float64Array): void;
  /** Those chosen last. */
  pivots(): SparseLu | null;
}

/** Keeps its pivots, or those given, as long as they serve, and chooses anew when they do not. */
function blockSolver({ pattern, linear, loads, order }: Equations, given: SparseLu | null = null): BlockSolver {
  const entries = pattern.row.length;
  const values = new Float64Array(4 * entries);
  const block = new Float64Array(4);
  let lu = given;
  return {
    factor(blockOf) {
      for (let at = 0; at < entries; at++) {
        const re = linear[2 * at] as number;
        const im = linear[2 * at + 1] as number;
        values[4 * at] = re;
        values[4 * at + 1] = -im;
        values[4 * at + 2] = im;
        values[4 * at + 3] = re;
      }
      for (let load = 0; load < loads.count; load++) {
        blockOf(load, block);
        for (let place = 0; place < 4; place++) {
          const entry = 4 * (loads.entries[4 * load + place] as number);
          if (entry < 0) continue;
          const sign = place === 0 || place === 3 ? 1 : -1;
          for (let part = 0; part < 4; part++) {
            values[entry + part] = (values[entry + part] as number) + sign * (block[part] as number);
          }
        }
      }
      if (lu?.refactor(values)) return null;
      lu = null;
      const chosen = sparseLu(pattern, values, order);
      if ('singularColumn' in chosen) return { outcome: 'singular', unknown: chosen.singularColumn };
      if ('tooMeshedColumn' in chosen) return { outcome: 'tooMeshed', unknown: chosen.tooMeshedColumn };
      lu = chosen;
      return null;
    },
    solve(vector) {
      lu?.solve(vector);
    },
    pivots: () => lu,
  };
}
