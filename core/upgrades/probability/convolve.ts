/** Independent on-off loads alike, for one line: whole steps of current, how many, and the chance that one is on. */
export interface SteppedLoad {
  readonly steps: number;
  readonly count: number;
  readonly chance: number;
}

/**
 * Distribution of the sum of independent on-off loads: `[i]` is the chance of exactly `i` steps. Exact but for the
 * rounding of doubles: loads alike are taken together as one binomial, the groups are convolved.
 */
export function sumDistribution(loads: readonly SteppedLoad[]): Float64Array {
  let sum = Float64Array.of(1);
  for (const { steps, count, chance } of loads) {
    if (steps === 0 || count === 0 || chance === 0) continue;
    const binomial = binomialDistribution(count, chance);
    const next = new Float64Array(sum.length + steps * count);
    for (let on = 0; on <= count; on++) {
      const share = binomial[on] ?? 0;
      if (share === 0) continue;
      const offset = on * steps;
      for (let i = 0; i < sum.length; i++) next[offset + i] = (next[offset + i] ?? 0) + share * (sum[i] ?? 0);
    }
    sum = next;
  }
  return sum;
}

/** Chances of 0 to `count` of `count` independent loads being on, one load at a time: no factorials, no cancellation. */
export function binomialDistribution(count: number, chance: number): Float64Array {
  const on = new Float64Array(count + 1);
  on[0] = 1;
  for (let n = 1; n <= count; n++) {
    for (let k = n; k >= 0; k--) on[k] = (on[k] ?? 0) * (1 - chance) + (k === 0 ? 0 : (on[k - 1] ?? 0) * chance);
  }
  return on;
}

/** Chance of more than `steps`. Summed from the far end, where the small chances are. */
export function chanceAbove(distribution: Float64Array, steps: number): number {
  let chance = 0;
  for (let i = distribution.length - 1; i > steps; i--) chance += distribution[i] ?? 0;
  return Math.min(1, chance);
}

/** The fewest steps that are not passed with at least this chance. */
export function quantile(distribution: Float64Array, chance: number): number {
  let sum = 0;
  for (let i = 0; i < distribution.length; i++) {
    sum += distribution[i] ?? 0;
    if (sum >= chance - 1e-12) return i;
  }
  return Math.max(0, distribution.length - 1);
}
