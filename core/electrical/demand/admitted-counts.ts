import type { DemandPractice } from '../../standards/demand-practice.ts';

/** Rows of a practice without gaps, for `admittedFromCounts`. The last one has no end. */
export interface FactorRows {
  readonly from: readonly number[];
  readonly to: readonly number[];
  readonly factor: readonly number[];
}

export function factorRows(practice: DemandPractice): FactorRows {
  const rows = practice.rows.map(({ from, to, factor }) => ({ from, to: to ?? Number.POSITIVE_INFINITY, factor }));
  const last = rows.at(-1)?.to ?? 0;
  if (last !== Number.POSITIVE_INFINITY) rows.push({ from: last + 1, to: Number.POSITIVE_INFINITY, factor: 1 });
  return { from: rows.map((row) => row.from), to: rows.map((row) => row.to), factor: rows.map((row) => row.factor) };
}

/** Distinct ratings of one channel, largest first: index of each in the counts, and its VA. */
export interface RankedRatings {
  readonly index: readonly number[];
  readonly va: readonly number[];
}

/**
 * `admittedDemand` from counts by distinct rating. Within a row the factor is constant and the sum grows, so only the
 * rows' ends and the last count can be the maximum.
 */
export function admittedFromCounts(
  rows: FactorRows,
  ratings: RankedRatings,
  counts: ArrayLike<number>,
  countAll: number,
): number {
  let best = 0;
  let taken = 0;
  let sum = 0;
  let row = 0;
  for (let i = 0; i < ratings.index.length; i++) {
    let left = counts[ratings.index[i] ?? 0] ?? 0;
    const va = ratings.va[i] ?? 0;
    while (left > 0) {
      const end = rows.to[row] ?? 0;
      const step = Math.min(left, end - taken);
      taken += step;
      left -= step;
      sum += step * va;
      if (taken === end) {
        best = Math.max(best, (rows.factor[row] ?? 1) * sum);
        row++;
      }
    }
  }
  if (taken === 0) return 0;
  // The row of the last receptacle, and rows that only the part's other receptacles reach.
  for (; row < rows.from.length && (rows.from[row] ?? 0) <= countAll; row++) {
    best = Math.max(best, (rows.factor[row] ?? 1) * sum);
  }
  return best;
}
