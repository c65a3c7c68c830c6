import type { Equations, NonlinearLoad } from './equations.ts';
import { loadCurrent, loadDerivative, voltsAcross } from './load-current.ts';
import { choosePivots } from './pivot-order.ts';
import { type SparseLu, sparseLu } from './sparse-lu.ts';

export type NewtonResult =
  | { readonly outcome: 'converged'; readonly unknowns: Float64Array; readonly iterations: number }
  | { readonly outcome: 'singular'; readonly unknown: number }
  | { readonly outcome: 'notConverged'; readonly worst: NonlinearLoad; readonly iterations: number };

/** Newton's method doubles its digits at each step: a case that needs more than this has no answer near its start. */
const mostIterations = 40;
const shortestStep = 2 ** -12;
/** Rounding allowed in each row, as a part of the sum of its terms, and of the largest such sum in the network. */
const closeEnough = 1e-12;
const closeEnoughOverall = 1e-14;
/** Where rounding stops further progress, this is still accepted. */
const acceptable = 1e-10;
/** The first guess joins loads by admittances this small against their own size. */
const faint = 1e-3;

/**
 * Solves the linear equations with the loads on top by Newton's method in real 2 x 2 blocks. It starts from the loads as
 * constant impedances, which always have one answer, with their volts from a first solve at next to no load.
 */
export function solveEquations(equations: Equations): NewtonResult {
  const { pattern, loads } = equations;
  const solver = blockSolver(equations);
  const unknowns = Float64Array.from(equations.given);
  if (pattern.size === 0) return { outcome: 'converged', unknowns, iterations: 0 };

  const highestV = sourceScale(equations);
  const singular = solver.factor((_load, out) => asAdmittance(_load, highestV * highestV, faint, out));
  if (singular !== null) return { outcome: 'singular', unknown: singular };
  solver.solve(unknowns);
  if (loads.length > 0) {
    const startV = loads.map((load) => squareAcross(load, unknowns));
    const start = Float64Array.from(equations.given);
    let at = 0;
    const failed = solver.factor((load, out) => asAdmittance(load, startV[at++] as number, 1, out));
    if (failed === null) {
      solver.solve(start);
      unknowns.set(start);
    }
  }
  return iterate(equations, solver, unknowns);
}

function iterate(equations: Equations, solver: BlockSolver, unknowns: Float64Array): NewtonResult {
  const { loads } = equations;
  const startV = loads.map((load) => squareAcross(load, unknowns));
  const size = unknowns.length;
  let residual = new Float64Array(size);
  let nextResidual = new Float64Array(size);
  const step = new Float64Array(size);
  const trial = new Float64Array(size);
  let state = mismatch(equations, unknowns, residual);
  let iterations = 0;
  for (; iterations < mostIterations && state.ratio > 1; iterations++) {
    const singular = solver.factor((load, out) =>
      loadDerivative(load, voltsAcross(load, unknowns, 0), voltsAcross(load, unknowns, 1), out),
    );
    if (singular !== null) break;
    step.set(residual);
    solver.solve(step);
    let length = 1;
    let next = state;
    for (; length >= shortestStep; length /= 2) {
      for (let at = 0; at < size; at++) trial[at] = (unknowns[at] as number) - length * (step[at] as number);
      next = mismatch(equations, trial, nextResidual);
      if (next.merit < state.merit) break;
    }
    // Rounding alone is left when no length of step is any better.
    if (!(next.merit < state.merit)) break;
    unknowns.set(trial);
    [residual, nextResidual] = [nextResidual, residual];
    state = next;
  }
  if (state.ratio <= acceptable / closeEnough) return { outcome: 'converged', unknowns, iterations };
  const worst = mostDepressed(loads, startV, unknowns);
  if (worst === null) {
    const at = residual.reduce(
      (most, value, row) => (Math.abs(value) > Math.abs(residual[most] as number) ? row : most),
      0,
    );
    return { outcome: 'singular', unknown: at >> 1 };
  }
  return { outcome: 'notConverged', worst, iterations };
}

interface Mismatch {
  /** Sum of squares of what is left over in every row. */
  readonly merit: number;
  /** The worst row against what rounding allows it: at most 1 when solved. */
  readonly ratio: number;
}

const current = new Float64Array(2);

/** Writes what each row is out by into `residual`. */
function mismatch(equations: Equations, unknowns: Float64Array, residual: Float64Array): Mismatch {
  const { pattern, linear, given, loads } = equations;
  const { size, rowStart, column } = pattern;
  const terms = new Float64Array(size);
  for (let row = 0; row < size; row++) {
    let re = -(given[2 * row] as number);
    let im = -(given[2 * row + 1] as number);
    let sum = Math.abs(re) + Math.abs(im);
    for (let at = rowStart[row] as number; at < (rowStart[row + 1] as number); at++) {
      const a = linear[2 * at] as number;
      const b = linear[2 * at + 1] as number;
      const col = 2 * (column[at] as number);
      const x = unknowns[col] as number;
      const y = unknowns[col + 1] as number;
      re += a * x - b * y;
      im += a * y + b * x;
      sum += (Math.abs(a) + Math.abs(b)) * (Math.abs(x) + Math.abs(y));
    }
    residual[2 * row] = re;
    residual[2 * row + 1] = im;
    terms[row] = sum;
  }
  for (const load of loads) {
    loadCurrent(load, voltsAcross(load, unknowns, 0), voltsAcross(load, unknowns, 1), current);
    addAt(residual, terms, load.fromUnknown, current[0] as number, current[1] as number);
    addAt(residual, terms, load.toUnknown, -(current[0] as number), -(current[1] as number));
  }
  let largest = 0;
  for (let row = 0; row < size; row++) largest = Math.max(largest, terms[row] as number);
  let merit = 0;
  let ratio = 0;
  for (let row = 0; row < size; row++) {
    const re = residual[2 * row] as number;
    const im = residual[2 * row + 1] as number;
    merit += re * re + im * im;
    const allowed = closeEnough * (terms[row] as number) + closeEnoughOverall * largest;
    const off = Math.abs(re) + Math.abs(im);
    if (off > 0) ratio = Math.max(ratio, off / allowed);
  }
  return Number.isFinite(merit)
    ? { merit, ratio }
    : { merit: Number.POSITIVE_INFINITY, ratio: Number.POSITIVE_INFINITY };
}

function addAt(residual: Float64Array, terms: Float64Array, row: number, re: number, im: number): void {
  if (row < 0) return;
  residual[2 * row] = (residual[2 * row] as number) + re;
  residual[2 * row + 1] = (residual[2 * row + 1] as number) + im;
  terms[row] = (terms[row] as number) + Math.abs(re) + Math.abs(im);
}

function sourceScale({ given }: Equations): number {
  let highest = 0;
  for (const value of given) highest = Math.max(highest, Math.abs(value));
  return highest;
}

function squareAcross(load: NonlinearLoad, unknowns: Float64Array): number {
  return voltsAcross(load, unknowns, 0) ** 2 + voltsAcross(load, unknowns, 1) ** 2;
}

/** The load as the admittance that takes its power at the given volts squared. */
function asAdmittance(load: NonlinearLoad, squareV: number, factor: number, out: Float64Array): void {
  const over = load.constantCurrent ? Math.sqrt(squareV) : squareV;
  const re = over > 0 ? (factor * load.powerW) / over : 0;
  const im = over > 0 ? (-factor * load.reactivePowerVar) / over : 0;
  out[0] = re;
  out[1] = -im;
  out[2] = im;
  out[3] = re;
}

/** The load whose volts fell furthest from where it began. */
function mostDepressed(
  loads: readonly NonlinearLoad[],
  startV: readonly number[],
  unknowns: Float64Array,
): NonlinearLoad | null {
  let worst: NonlinearLoad | null = null;
  let lowest = Number.POSITIVE_INFINITY;
  loads.forEach((load, at) => {
    const part = squareAcross(load, unknowns) / Math.max(startV[at] ?? 0, Number.MIN_VALUE);
    if (worst === null || part < lowest) {
      worst = load;
      lowest = part;
    }
  });
  return worst;
}

type BlockOf = (load: NonlinearLoad, out: Float64Array) => void;

interface BlockSolver {
  /** Factors the linear equations with this block for each load; the unknown that stays open, or null. */
  factor(blockOf: BlockOf): number | null;
  solve(vector: Float64Array): void;
}

/** Keeps one order of elimination as long as it serves, and chooses anew when it does not. */
function blockSolver({ pattern, linear, loads }: Equations): BlockSolver {
  const entries = pattern.column.length;
  const base = new Float64Array(4 * entries);
  for (let at = 0; at < entries; at++) {
    const re = linear[2 * at] as number;
    const im = linear[2 * at + 1] as number;
    base[4 * at] = re;
    base[4 * at + 1] = -im;
    base[4 * at + 2] = im;
    base[4 * at + 3] = re;
  }
  const values = new Float64Array(4 * entries);
  const block = new Float64Array(4);
  let lu: SparseLu | null = null;
  return {
    factor(blockOf) {
      values.set(base);
      for (const load of loads) {
        blockOf(load, block);
        for (let place = 0; place < 4; place++) {
          const entry = 4 * (load.entries[place] as number);
          if (entry < 0) continue;
          const sign = place === 0 || place === 3 ? 1 : -1;
          for (let part = 0; part < 4; part++) {
            values[entry + part] = (values[entry + part] as number) + sign * (block[part] as number);
          }
        }
      }
      if (lu?.factor(values)) return null;
      const order = choosePivots(pattern, values);
      if ('singularColumn' in order) return order.singularColumn;
      lu = sparseLu(pattern, order);
      return lu.factor(values) ? null : (order.columnOfStep.at(-1) ?? 0);
    },
    solve(vector) {
      lu?.solve(vector);
    },
  };
}
