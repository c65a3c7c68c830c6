import type { LinearModel } from './linear-model.ts';

/** A model in which each group of columns gives one of them, or none, to compete for the same rows. */
export interface PriceQuestion {
  readonly model: LinearModel;
  /** Group of each column; -1: in none. Such a column, and the rows that hold it, are left out of account. */
  readonly groupOf: Int32Array;
  /** Whether a group must give a column. */
  readonly isForced: readonly boolean[];
  /** What is to be small in sum, by column. */
  readonly costs: Float64Array;
  /** The sum of a known solution; infinite: none is known. */
  readonly known: number;
  /** Asked now and then; false ends the search with what is found until then. */
  readonly goOn: () => boolean;
}

export interface Priced {
  /** No solution has a smaller sum. Holds whatever the prices are. */
  readonly bound: number;
  /** For each column, no solution that takes it has a smaller sum than this. */
  readonly boundWith: Float64Array;
  /** Columns of the best choice found that keeps every row it accounts for; null: no better one than the known. */
  readonly best: readonly number[] | null;
}

const mostRounds = 600;
const patience = 12;
const leastStep = 2e-3;
const roundsPerTry = 6;
// Of the direction of the round before, so much is kept: steps that turn back and forth cancel.
const deflection = 0.5;

/**
 * Bounds a model by prices on its rows (Lagrangian relaxation, subgradient steps): with every row paid for instead of
 * kept, each group chooses for itself, and for any prices the sum is a bound. On the way the groups choose in turn by
 * what the prices leave of their costs, keeping the rows: that finds good solutions.
 */
export function price(question: PriceQuestion): Priced {
  const { groupOf, isForced, costs, goOn } = question;
  const { starts, rows, values, most, rowCount } = columnwise(question);
  const groups = membersOf(groupOf, isForced.length);
  const columnCount = groupOf.length;
  const prices = new Float64Array(rowCount);
  const reduced = new Float64Array(columnCount);
  const chosen = new Int32Array(groups.length);
  const use = new Float64Array(rowCount);
  const direction = new Float64Array(rowCount);
  let bestPrices = prices.slice();
  let bound = Number.NEGATIVE_INFINITY;
  let known = question.known;
  let best: number[] | null = null;
  let stepShare = 1;
  let idle = 0;

  const evaluate = (): number => {
    for (let j = 0; j < columnCount; j++) {
      let sum = costs[j] ?? 0;
      for (let k = starts[j] ?? 0, end = starts[j + 1] ?? 0; k < end; k++)
        sum += (prices[rows[k] ?? 0] ?? 0) * (values[k] ?? 0);
      reduced[j] = sum;
    }
    let total = 0;
    for (let g = 0; g < groups.length; g++) {
      let least = isForced[g] ? Number.POSITIVE_INFINITY : 0;
      let at = -1;
      for (const j of groups[g] ?? []) {
        const value = reduced[j] ?? 0;
        if (value < least) {
          least = value;
          at = j;
        }
      }
      chosen[g] = at;
      total += least;
    }
    for (let i = 0; i < rowCount; i++) total -= (prices[i] ?? 0) * (most[i] ?? 0);
    return total;
  };

  const take = (j: number, sign: 1 | -1) => {
    for (let k = starts[j] ?? 0, end = starts[j + 1] ?? 0; k < end; k++) {
      const i = rows[k] ?? 0;
      use[i] = (use[i] ?? 0) + sign * (values[k] ?? 0);
    }
  };
  const fits = (j: number): boolean => {
    for (let k = starts[j] ?? 0, end = starts[j + 1] ?? 0; k < end; k++) {
      const i = rows[k] ?? 0;
      if ((use[i] ?? 0) + (values[k] ?? 0) > (most[i] ?? 0) + 1e-9) return false;
    }
    return true;
  };
  /** Groups in turn, who has most to lose first; then each once more where it can do better. */
  const chooseInTurn = (): void => {
    use.fill(0);
    const taken = new Int32Array(groups.length).fill(-1);
    const order = groups.map((members, g) => {
      const sorted = [...members].sort((a, b) => (reduced[a] ?? 0) - (reduced[b] ?? 0));
      return { g, sorted, first: reduced[sorted[0] ?? -1] ?? 0 };
    });
    order.sort((a, b) => Number(isForced[b.g]) - Number(isForced[a.g]) || a.first - b.first);
    for (const { g, sorted } of order) {
      const j = sorted.find(fits);
      if (j === undefined) continue;
      take(j, 1);
      taken[g] = j;
    }
    for (const { g } of order) {
      const before = taken[g] ?? -1;
      if (before >= 0) take(before, -1);
      let least = before < 0 ? 0 : (costs[before] ?? 0);
      let at = before;
      for (const j of groups[g] ?? []) {
        if ((costs[j] ?? 0) < least && fits(j)) {
          least = costs[j] ?? 0;
          at = j;
        }
      }
      if (at >= 0) take(at, 1);
      taken[g] = at;
    }
    if (taken.some((j, g) => j < 0 && isForced[g])) return;
    const found = [...taken].filter((j) => j >= 0);
    const sum = found.reduce((total, j) => total + (costs[j] ?? 0), 0);
    if (sum >= known - 1e-9) return;
    known = sum;
    best = found;
  };

  for (let round = 0; round < mostRounds; round++) {
    const total = evaluate();
    if (total > bound) {
      if (total > bound + 1e-4 * Math.max(1, Math.abs(known - bound))) idle = 0;
      bound = total;
      bestPrices = prices.slice();
    }
    if (round % roundsPerTry === 0) chooseInTurn();
    // Costs are whole numbers: nothing is left between the two.
    if (bound > known - 1 + 1e-6 || !goOn()) break;
    if (++idle > patience) {
      idle = 0;
      stepShare /= 2;
      prices.set(bestPrices);
      direction.fill(0);
      if (stepShare < leastStep) break;
      continue;
    }
    use.fill(0);
    for (const j of chosen) if (j >= 0) take(j, 1);
    let norm = 0;
    for (let i = 0; i < rowCount; i++) {
      const over = (use[i] ?? 0) - (most[i] ?? 0) + deflection * (direction[i] ?? 0);
      direction[i] = over;
      if (over > 0 || (prices[i] ?? 0) > 0) norm += over * over;
    }
    if (norm === 0) break;
    const target = Number.isFinite(known) ? known : total + Math.abs(total) * 0.05 + 1;
    const step = (stepShare * Math.max(target - total, 1)) / norm;
    for (let i = 0; i < rowCount; i++) {
      prices[i] = Math.max(0, (prices[i] ?? 0) + step * (direction[i] ?? 0));
    }
  }

  prices.set(bestPrices);
  bound = evaluate();
  const boundWith = new Float64Array(columnCount).fill(Number.NEGATIVE_INFINITY);
  groups.forEach((members, g) => {
    const own = chosen[g] ?? -1;
    const least = own < 0 ? 0 : (reduced[own] ?? 0);
    for (const j of members) boundWith[j] = bound + (reduced[j] ?? 0) - least;
  });
  return { bound, boundWith, best };
}

function membersOf(groupOf: Int32Array, count: number): number[][] {
  const groups = Array.from({ length: count }, (): number[] => []);
  groupOf.forEach((group, j) => {
    groups[group]?.push(j);
  });
  return groups;
}

/** Rows that only limit from above and that a choice can pass, column after column. */
function columnwise({ model, groupOf }: PriceQuestion) {
  const { rowLower, rowUpper, rowStarts, columns, values } = model;
  const kept: number[] = [];
  for (let i = 0; i < rowUpper.length; i++) {
    const [from, until] = [rowStarts[i] ?? 0, rowStarts[i + 1] ?? 0];
    const group = groupOf[columns[from] ?? -1] ?? -1;
    let isTelling = false;
    let isKept = rowLower[i] === Number.NEGATIVE_INFINITY && Number.isFinite(rowUpper[i] ?? 0);
    for (let k = from; k < until && isKept; k++) {
      const own = groupOf[columns[k] ?? -1] ?? -1;
      isKept = own >= 0 && (values[k] ?? 0) >= 0;
      // Of one group only one is taken: such a row says something only of those that pass it alone.
      if (own !== group || (values[k] ?? 0) > (rowUpper[i] ?? 0)) isTelling = true;
    }
    if (isKept && isTelling) kept.push(i);
  }
  const starts = new Int32Array(groupOf.length + 1);
  for (const i of kept) {
    for (let k = rowStarts[i] ?? 0; k < (rowStarts[i + 1] ?? 0); k++) {
      const at = (columns[k] ?? 0) + 1;
      starts[at] = (starts[at] ?? 0) + 1;
    }
  }
  for (let j = 0; j < groupOf.length; j++) starts[j + 1] = (starts[j + 1] ?? 0) + (starts[j] ?? 0);
  const next = starts.slice();
  const rows = new Int32Array(starts[groupOf.length] ?? 0);
  const amounts = new Float64Array(rows.length);
  kept.forEach((i, row) => {
    for (let k = rowStarts[i] ?? 0; k < (rowStarts[i + 1] ?? 0); k++) {
      const j = columns[k] ?? 0;
      const place = next[j] ?? 0;
      next[j] = place + 1;
      rows[place] = row;
      amounts[place] = values[k] ?? 0;
    }
  });
  const most = Float64Array.from(kept, (i) => rowUpper[i] ?? 0);
  return { starts, rows, values: amounts, most, rowCount: kept.length };
}
