import type { LinearModel, ObjectiveLevel } from './linear-model.ts';

/** Levels as one sum that is to be small: each counts more than all that comes after it can amount to. */
export interface WeighedLevels {
  readonly levels: readonly ObjectiveLevel[];
  /** What one unit of each level counts; 0 for the last ones where the sum would no longer be exact. */
  readonly factors: readonly number[];
  /** Whether every level counts. */
  readonly isWhole: boolean;
}

// Doubles tell whole numbers apart up to nine times this, and the sums of bounds are less exact than whole numbers.
const mostExact = 1e13;

export function weighLevels(levels: readonly ObjectiveLevel[]): WeighedLevels {
  for (let count = levels.length; ; count--) {
    let after = 0;
    const factors = levels.map(() => 0);
    for (let i = count - 1; i >= 0; i--) {
      const { sense, range } = levels[i] ?? { sense: 'least', range: 0 };
      const own = after + 1;
      factors[i] = sense === 'most' ? -own : own;
      after += own * range;
    }
    if (after <= mostExact || count === 0) return { levels, factors, isWhole: count === levels.length };
  }
}

/** The sum's weight of each column. */
export function columnCosts({ levels, factors }: WeighedLevels, { columnLower }: LinearModel): Float64Array {
  const costs = new Float64Array(columnLower.length);
  levels.forEach(({ columns, weights }, i) => {
    const factor = factors[i] ?? 0;
    columns.forEach((column, k) => {
      costs[column] = (costs[column] ?? 0) + factor * (weights[k] ?? 0);
    });
  });
  return costs;
}

export function weighedSum({ factors }: WeighedLevels, values: readonly number[]): number {
  return factors.reduce((sum, factor, i) => sum + factor * (values[i] ?? 0), 0);
}

/**
 * What a bound on the sum says of each level for a solution with these values: no solution that reaches the levels
 * before as it does comes further. Null where it says nothing.
 */
export function levelBounds(
  { levels, factors }: WeighedLevels,
  values: readonly number[],
  bound: number,
): (number | null)[] {
  let left = bound;
  let isEarlierProven = Number.isFinite(bound);
  return levels.map(({ sense, range }, i) => {
    const factor = factors[i] ?? 0;
    const value = values[i] ?? 0;
    if (!isEarlierProven || factor === 0) {
      isEarlierProven = false;
      return null;
    }
    // All that comes after is at least 0, or for what is wanted most, at least minus all there can be of it.
    const least = levels
      .slice(i + 1)
      .reduce((sum, level, k) => sum + Math.min(0, (factors[i + 1 + k] ?? 0) * level.range), 0);
    const reach = (left - least) / factor;
    const known =
      sense === 'most'
        ? Math.max(value, Math.min(range, Math.floor(reach + 1e-6)))
        : Math.min(value, Math.max(0, Math.ceil(reach - 1e-6)));
    left -= factor * value;
    isEarlierProven = known === value;
    return known;
  });
}
