import type { DemandPractice } from '../../standards/demand-practice.ts';

/** The practice's factor for a count of receptacles. A count that its rows do not reach is taken at 100 %. */
export function factorAt(practice: DemandPractice, count: number): number {
  const row = practice.rows.find(({ from, to }) => from <= count && (to === null || count <= to));
  return row?.factor ?? 1;
}

/** The last count that has the factor of this one by the same row; itself where no row reaches it. */
function lastOfRow(practice: DemandPractice, count: number): number {
  const row = practice.rows.find(({ from, to }) => from <= count && (to === null || count <= to));
  return row === undefined ? count : (row.to ?? Number.POSITIVE_INFINITY);
}

/** Demand of receptacles in use, with the count and factor that gave it. */
export interface AdmittedDemand {
  readonly demandVa: number;
  readonly count: number;
  readonly factor: number;
  /** The `count` largest ratings summed, VA: times the factor, the demand. */
  readonly countedVa: number;
}

/**
 * Demand for admission: max over k of factor(k) x (sum of the k largest). It never falls when a receptacle is added and
 * does not depend on order. `countAll` (at least the number of ratings) counts receptacles elsewhere on the same part
 * too, so that both counting bases are covered, whichever gives more, also where factors do not fall. The project's own
 * cautious reading of the tables. The plain form: the hot path's is in admitted-counts.ts.
 */
export function admittedDemand(
  practice: DemandPractice,
  ratingsVa: readonly number[],
  countAll: number = ratingsVa.length,
): AdmittedDemand {
  const largestFirst = Float64Array.from(ratingsVa).sort().reverse();
  let best: AdmittedDemand = { demandVa: 0, count: 0, factor: 1, countedVa: 0 };
  let sum = 0;
  let factor = 1;
  let rowEnd = 0;
  if (largestFirst.length === 0) return best;
  for (let count = 1; count <= Math.max(countAll, largestFirst.length); count++) {
    sum += largestFirst[count - 1] ?? 0;
    if (count > rowEnd) {
      factor = factorAt(practice, count);
      rowEnd = lastOfRow(practice, count);
    }
    if (factor * sum > best.demandVa) best = { demandVa: factor * sum, count, factor, countedVa: sum };
  }
  return best;
}
