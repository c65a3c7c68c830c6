import type { InventoryIndex } from '../../inventory/index-inventory.ts';
import type { Equipment } from '../../inventory/inventory.ts';
import type { DemandPractice } from '../../standards/demand-practice.ts';
import { factorRows } from './admitted-counts.ts';
import { channelCount, noLoad } from './channels.ts';
import { loadModel } from './load-model.ts';
import { governingMeasure, isOver, measure } from './part-measures.ts';
import { type PartRatings, partRatings } from './part-ratings.ts';
import { loadByCounts, loadByShares } from './part-sweep.ts';

/** One part of the equipment as a question: is any of its limits passed with so much in use, on the refusing basis? */
export interface PartCapacity {
  readonly part: Equipment;
  /** Distinct rated loads below it. */
  readonly loadCount: number;
  /** Index of the outlet's load among them; -1 where it is not below the part, or its load is unknown. */
  readonly indexOf: (outletId: string) => number;
  /**
   * Whether a limit is passed. Rated basis: `amounts` are receptacles in use by load. Stated basis: the sums of the
   * shares of each load. More is never less: where an amount is too much, every greater one is.
   */
  readonly isOver: (amounts: ArrayLike<number>) => boolean;
  /**
   * Linear bounds that hold wherever no limit is passed: `sum of amounts x perLoad <= most`. Stated basis only, where the
   * load is linear: the current of each line along that line's own voltage, A.
   */
  readonly linearBounds: readonly { readonly perLoad: readonly number[]; readonly most: number }[];
  /** Whether load `a` is in every channel at least load `b`. */
  readonly isAtLeast: (a: number, b: number) => boolean;
}

/** Every part that has a limit. */
export function partCapacities(index: InventoryIndex, practice: DemandPractice): PartCapacity[] {
  const rows = factorRows(practice);
  const model = loadModel(index);
  const isRated = index.inventory.settings.refusingBasis === 'rated';
  return index.inventory.equipment.flatMap((part): PartCapacity[] => {
    const ratings = partRatings(index, part);
    const { gauge } = ratings;
    if (!gauge.hasLimit) return [];
    const load = noLoad();
    const measures = new Float64Array(gauge.measureCount);
    const vaOf = (channel: number, i: number) => {
      const ranked = ratings.ranked[channel];
      return ranked?.va[ranked.index.indexOf(i)] ?? 0;
    };
    return [
      {
        part,
        loadCount: ratings.loadCount,
        indexOf: (outletId) => {
          const outlet = index.outlets.get(outletId);
          return outlet === undefined ? -1 : ratings.indexOf(model.outletLoad(outlet));
        },
        isOver: (amounts) => {
          if (isRated) loadByCounts(ratings, rows, amounts, load);
          else loadByShares(ratings, amounts, load);
          measure(gauge, load, measures);
          return gauge.limits.some((limit) =>
            isOver({ actual: measures[governingMeasure(limit, measures)] ?? 0, limit: limit.limit }),
          );
        },
        linearBounds: isRated ? [] : linearBounds(ratings, vaOf),
        isAtLeast: (a, b) => ratings.ranked.every((_, channel) => vaOf(channel, a) >= vaOf(channel, b)),
      },
    ];
  });
}

function linearBounds(
  { gauge, loadCount, other }: PartRatings,
  vaOf: (channel: number, load: number) => number,
): PartCapacity['linearBounds'] {
  const { phasors } = gauge;
  if (phasors === null) return [];
  return phasors.lines.flatMap((line) => {
    const limits = gauge.limits.flatMap(({ limit, measures }) =>
      limit !== null && measures.includes(line) ? [limit] : [],
    );
    if (limits.length === 0) return [];
    const along = (channel: number) =>
      (phasors.ampereRe[line * channelCount + channel] ?? 0) * (phasors.lineRe[line] ?? 0) +
      (phasors.ampereIm[line * channelCount + channel] ?? 0) * (phasors.lineIm[line] ?? 0);
    const amperes = (va: (channel: number) => number) => {
      let sum = 0;
      for (let channel = 0; channel < channelCount; channel++) sum += va(channel) * along(channel);
      return sum;
    };
    const perLoad = Array.from({ length: loadCount }, (_, i) => amperes((channel) => vaOf(channel, i)));
    return [{ perLoad, most: Math.min(...limits) - amperes((channel) => other[channel] ?? 0) }];
  });
}
