import type { PartCapacity } from '../../electrical/demand/part-capacity.ts';
import type { PlanScene } from './scene.ts';

/** At every moment at least one of these sums over a part's loads in use stays within its bound. */
export interface LimitCut {
  /** Which of the scene's limits. */
  readonly limit: number;
  readonly oneOf: readonly LimitBound[];
}

export interface LimitBound {
  readonly perLoad: readonly number[];
  readonly most: number;
}

/** Not all of these stays may take such a load of the part: they meet, and together they pass a limit. */
export interface SetCut {
  readonly limit: number;
  /** The moment at which they do. */
  readonly at: number;
  readonly stays: readonly { readonly stayId: string; readonly amounts: readonly number[] }[];
}

/**
 * Bounds that hold for everything within the limits, to begin with. The admitted demand of a table is no linear function
 * of what is in use, so these are outer bounds: what still passes a limit is cut off when a solution shows it.
 */
export function firstCuts({ limits, isRated }: PlanScene, below: (limit: number) => readonly number[]): LimitCut[] {
  return limits.flatMap((capacity, limit): LimitCut[] => {
    const bounds = isRated ? ratedBounds(capacity, below(limit)) : capacity.linearBounds;
    return bounds.map((bound) => ({ limit, oneOf: [bound] }));
  });
}

/** @param below how many outlets there are of each load */
function ratedBounds(capacity: PartCapacity, below: readonly number[]): LimitBound[] {
  const { loadCount, isOver, isAtLeast } = capacity;
  const loads = Array.from({ length: loadCount }, (_, i) => i).filter((i) => (below[i] ?? 0) > 0);
  const countOf = (i: number) => below[i] ?? 0;
  const larger = (i: number) => loads.filter((j) => isAtLeast(j, i));
  const amounts = new Float64Array(loadCount);
  /** The most of load i beside what stands in `amounts`; -1: that is too much by itself. */
  const mostOf = (i: number, atMost: number): number => {
    let count = 0;
    amounts[i] = 0;
    if (isOver(amounts)) return -1;
    for (; count < atMost; count++) {
      amounts[i] = count + 1;
      if (isOver(amounts)) break;
    }
    amounts[i] = 0;
    return count;
  };
  const bounds: LimitBound[] = [];
  for (const i of loads) {
    const counted = larger(i);
    const count = counted.reduce((sum, j) => sum + countOf(j), 0);
    const most = mostOf(i, count);
    // Where so many of the smaller load are too much, so are as many of larger ones.
    if (most < count) bounds.push({ perLoad: weights(loadCount, (j) => (counted.includes(j) ? 1 : 0)), most });
    for (const j of counted) if (j !== i) bounds.push(...pairBounds(i, j, count));
  }
  return bounds;

  /** The edges around all pairs of counts, of load i and the larger load j, that are within the limits. */
  function pairBounds(i: number, j: number, atMost: number): LimitBound[] {
    const points: { x: number; y: number }[] = [];
    const countJ = larger(j).reduce((sum, each) => sum + countOf(each), 0);
    for (let x = 0; x <= countJ; x++) {
      amounts[j] = x;
      const y = mostOf(i, atMost);
      if (y < 0) break;
      const isAbove = (a: { x: number; y: number }, b: { x: number; y: number }) =>
        (b.x - a.x) * (y - a.y) >= (b.y - a.y) * (x - a.x);
      for (;;) {
        const [a, b] = points.slice(-2);
        if (a === undefined || b === undefined || !isAbove(a, b)) break;
        points.pop();
      }
      points.push({ x, y });
    }
    amounts[j] = 0;
    return points.slice(1).flatMap((b, k): LimitBound[] => {
      const a = points[k];
      if (a === undefined || a.y === b.y) return [];
      const [perJ, perI] = [a.y - b.y, b.x - a.x];
      const perLoad = weights(loadCount, (load) =>
        isAtLeast(load, j) ? Math.max(perJ, perI) : isAtLeast(load, i) ? perI : 0,
      );
      if (perJ < perI) return [];
      return [{ perLoad, most: perJ * a.x + perI * a.y }];
    });
  }
}

function weights(loadCount: number, of: (load: number) => number): number[] {
  return Array.from({ length: loadCount }, (_, i) => of(i));
}
/**
 * Cuts off what passes a limit, and with it everything that is at least as much, and nothing else. Of loads that can be
 * put in order, a sum counts every load at least as large.
 */
export function cutOf(capacity: PartCapacity, limit: number, tooMuch: ArrayLike<number>): LimitCut {
  const least = Float64Array.from(tooMuch);
  for (let i = 0; i < capacity.loadCount; i++) {
    while ((least[i] ?? 0) > 0) {
      least[i] = (least[i] ?? 0) - 1;
      if (capacity.isOver(least)) continue;
      least[i] = (least[i] ?? 0) + 1;
      break;
    }
  }
  const used = Array.from(least.keys()).filter((i) => (least[i] ?? 0) > 0);
  const isChain = used.every((i) => used.every((j) => capacity.isAtLeast(i, j) || capacity.isAtLeast(j, i)));
  const oneOf = used.map((i): LimitBound => {
    const isCounted = (j: number) => (isChain ? capacity.isAtLeast(j, i) : j === i);
    const count = used.reduce((sum, j) => (isCounted(j) ? sum + (least[j] ?? 0) : sum), 0);
    return { perLoad: weights(capacity.loadCount, (j) => (isCounted(j) ? 1 : 0)), most: count - 1 };
  });
  return { limit, oneOf };
}
