import type { LineName } from '../../standards/configuration.ts';
import { chanceAbove, quantile, sumDistribution } from './convolve.ts';
import { type LineLimit, type RandomLoad, requireSound } from './random-load.ts';

/** A chance known between two bounds; the bounds are the same where every current is a whole number of steps. */
export interface BoundedChance {
  readonly atLeast: number;
  readonly atMost: number;
}

export interface LineChances {
  readonly line: LineName;
  /** Grain of the currents, A. */
  readonly stepA: number;
  /** Everything on at once, A. */
  readonly connectedA: number;
  readonly meanA: number;
  readonly standardDeviationA: number;
  /** Not passed in 95, 99 and 99.9 % of such moments, A, rounded up to a step. */
  readonly notPassed: readonly { readonly chance: number; readonly amperes: number }[];
  readonly limits: readonly (LineLimit & { readonly chanceAbove: BoundedChance })[];
}

/** Most cells of a distribution, and most additions in making one: some tenths of a second. */
const mostCells = 4_000_000;
const mostAdditions = 400_000_000;

/**
 * Demand on each line as the sum of independent on-off loads, by exact convolution. Amperes of different loads are added
 * as they are: exact on a single-phase or split-phase supply, and never too little on a three-phase one.
 *
 * `stepA` is the grain: currents are rounded down for the lower bound of each chance and up for the upper one.
 * @throws RangeError for figures that are none, or a step so fine that the work would not end in time.
 */
export function exactChances(
  loads: readonly RandomLoad[],
  lines: readonly LineName[],
  limits: readonly LineLimit[],
  stepA = 0.1,
): LineChances[] {
  requireSound(loads);
  if (!(stepA > 0)) throw new RangeError(`The step is ${stepA} A. Give one above 0.`);
  return lines.map((line) => chancesOn(line, loads, limits, stepA));
}

/** The finest of 0.1, 0.2, 0.4 ... A in which these loads can be convolved. */
export function feasibleStepA(loads: readonly RandomLoad[], lines: readonly LineName[]): number {
  requireSound(loads);
  let stepA = 0.1;
  // Amperes and counts are finite: doubling comes to one cell a load in the end.
  while (stepA < 1e6 && !lines.every((line) => isFeasible(loadsOn(line, loads), stepA))) stepA *= 2;
  return stepA;
}

interface OnLine {
  readonly amperes: number;
  readonly count: number;
  readonly chance: number;
}

function loadsOn(line: LineName, loads: readonly RandomLoad[]): OnLine[] {
  return loads.flatMap(({ count, chance, lineA }) => {
    const amperes = lineA[line] ?? 0;
    return amperes > 0 && count > 0 ? [{ amperes, count, chance }] : [];
  });
}

function isFeasible(onLine: readonly OnLine[], stepA: number): boolean {
  let cells = 1;
  let additions = 0;
  for (const { amperes, count } of onLine) {
    additions += (count + 1) * (cells + count);
    cells += count * Math.ceil(amperes / stepA);
  }
  return cells <= mostCells && additions <= mostAdditions;
}

function chancesOn(
  line: LineName,
  loads: readonly RandomLoad[],
  limits: readonly LineLimit[],
  stepA: number,
): LineChances {
  const onLine = loadsOn(line, loads);
  const connectedA = onLine.reduce((sum, { amperes, count }) => sum + amperes * count, 0);
  if (!isFeasible(onLine, stepA)) {
    throw new RangeError(
      `${onLine.length} groups of loads, ${Math.round(connectedA)} A in all, in steps of ${stepA} A are too much to convolve. Choose a coarser step.`,
    );
  }
  const stepped = (round: (steps: number) => number) =>
    sumDistribution(onLine.map(({ amperes, count, chance }) => ({ steps: round(amperes / stepA), count, chance })));
  // A current that is a whole number of steps but for the rounding of the division is that number.
  const low = stepped((steps) => Math.floor(steps + 1e-9));
  const high = stepped((steps) => Math.ceil(steps - 1e-9));
  const variance = onLine.reduce(
    (sum, { amperes, count, chance }) => sum + count * chance * (1 - chance) * amperes ** 2,
    0,
  );
  return {
    line,
    stepA,
    connectedA,
    meanA: onLine.reduce((sum, { amperes, count, chance }) => sum + amperes * count * chance, 0),
    standardDeviationA: Math.sqrt(variance),
    notPassed: [0.95, 0.99, 0.999].map((chance) => ({ chance, amperes: quantile(high, chance) * stepA })),
    limits: limits.map((limit) => {
      const steps = Math.floor(limit.limitA / stepA + 1e-9);
      return { ...limit, chanceAbove: { atLeast: chanceAbove(low, steps), atMost: chanceAbove(high, steps) } };
    }),
  };
}
