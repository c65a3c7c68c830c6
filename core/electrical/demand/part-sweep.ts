import type { OutletUse } from '../../berths/occupancy.ts';
import type { InventoryIndex } from '../../inventory/index-inventory.ts';
import type { Equipment, Outlet } from '../../inventory/inventory.ts';
import { overlaps, type Period } from '../../periods.ts';
import { admittedFromCounts, type FactorRows } from './admitted-counts.ts';
import { channelCount, noLoad, wholeIndex } from './channels.ts';
import type { LoadBasis } from './demand-of-part.ts';
import { loadModel } from './load-model.ts';
import { measure } from './part-measures.ts';
import { type PartRatings, partRatings } from './part-ratings.ts';

/** Receptacles in use on a part from `at` on, by distinct load: how many, and their stated shares of it summed. */
interface PartState {
  readonly at: number;
  readonly counts: readonly number[];
  readonly shares: readonly number[];
}

/** A part's states over a period that can hold a peak: those after which a use ends, and the last. */
export interface PartSweep {
  readonly ratings: PartRatings;
  readonly states: readonly PartState[];
  /** Outlets in use whose load is unknown. */
  readonly unknown: readonly Outlet[];
}

/** A boat's receptacles on one part: indexes in its ratings, and the share of the ratings that the boat states. */
export interface AddedUse {
  readonly indexes: readonly number[];
  readonly statedShare: number;
}

/** Largest value of each measure over the period, and when it is first reached. */
export interface Peaks {
  readonly values: Float64Array;
  readonly at: Float64Array;
}

/** Uses that load something in the period, by outlet. */
export function usesByOutlet(uses: readonly OutletUse[], period: Period): Map<string, OutletUse[]> {
  const byOutlet = new Map<string, OutletUse[]>();
  for (const use of uses) {
    if (use.by.kind === 'outOfService' || use.from >= use.until || !overlaps(use, period)) continue;
    const ofOutlet = byOutlet.get(use.outletId);
    if (ofOutlet === undefined) byOutlet.set(use.outletId, [use]);
    else ofOutlet.push(use);
  }
  return byOutlet;
}

interface Turn {
  readonly at: number;
  readonly starts: boolean;
  readonly index: number;
  readonly share: number;
}

/** Follows one part through the period. More load never measures less, so only states before an end can be peaks. */
export function sweepPart(
  index: InventoryIndex,
  part: Equipment,
  byOutlet: ReadonlyMap<string, readonly OutletUse[]>,
  period: Period,
): PartSweep {
  const model = loadModel(index);
  const ratings = partRatings(index, part);
  const counts = new Array<number>(ratings.loads.length).fill(0);
  const shares = new Array<number>(ratings.loads.length).fill(0);
  const turns: Turn[] = [];
  const unknown: Outlet[] = [];
  const plug = (at: number, change: 1 | -1, i: number, share: number) => {
    if (change === 1 && at <= period.from) {
      counts[i] = (counts[i] ?? 0) + 1;
      shares[i] = (shares[i] ?? 0) + share;
    } else if (at < period.until) turns.push({ at, starts: change === 1, index: i, share });
  };
  for (const outlet of ratings.outlets) {
    const uses = byOutlet.get(outlet.id);
    if (uses === undefined) continue;
    const outletLoad = model.outletLoad(outlet);
    const i = ratings.indexOf(outletLoad);
    if (i === null || outletLoad.rating === null) {
      unknown.push(outlet);
      continue;
    }
    for (const use of uses) {
      const share = use.statedVa === null ? 1 : use.statedVa / outletLoad.rating.leastVa;
      plug(use.from, 1, i, share);
      plug(use.until, -1, i, share);
    }
  }
  // Periods are half-open: who leaves at an instant has left before the next one plugs in.
  turns.sort((a, b) => a.at - b.at || Number(a.starts) - Number(b.starts));

  const states: PartState[] = [];
  let at = period.from;
  let grown = true;
  for (const turn of turns) {
    if (turn.starts) at = turn.at;
    else if (grown) states.push({ at, counts: [...counts], shares: [...shares] });
    grown = turn.starts;
    const sign = turn.starts ? 1 : -1;
    counts[turn.index] = (counts[turn.index] ?? 0) + sign;
    shares[turn.index] = (shares[turn.index] ?? 0) + sign * turn.share;
  }
  if (grown) states.push({ at, counts, shares });
  return { ratings, states, unknown };
}

/** Peaks of one part, with a boat's receptacles added for the whole period. */
export function peaksOf(sweep: PartSweep, basis: LoadBasis, rows: FactorRows, added: AddedUse): Peaks {
  const { gauge, other, loads, ranked } = sweep.ratings;
  const values = new Float64Array(gauge.measureCount).fill(-1);
  const at = new Float64Array(gauge.measureCount);
  const measures = new Float64Array(gauge.measureCount);
  const load = noLoad();
  for (const state of sweep.states) {
    if (basis === 'rated') {
      const counts = [...state.counts];
      for (const i of added.indexes) counts[i] = (counts[i] ?? 0) + 1;
      let countAll = 0;
      for (const count of counts) countAll += count;
      for (let channel = 0; channel <= channelCount; channel++) {
        const ratings = ranked[channel];
        const admitted = ratings === undefined ? 0 : admittedFromCounts(rows, ratings, counts, countAll);
        load[channel] = (other[channel] ?? 0) + admitted;
      }
    } else {
      const shares = [...state.shares];
      for (const i of added.indexes) shares[i] = (shares[i] ?? 0) + added.statedShare;
      for (let channel = 0; channel <= wholeIndex; channel++) {
        let sum = other[channel] ?? 0;
        for (let i = 0; i < loads.length; i++) sum += (shares[i] ?? 0) * (loads[i]?.[channel] ?? 0);
        load[channel] = sum;
      }
    }
    measure(gauge, load, measures);
    for (let i = 0; i < measures.length; i++) {
      const value = measures[i] ?? 0;
      if (value > (values[i] ?? 0)) {
        values[i] = value;
        at[i] = state.at;
      }
    }
  }
  return { values, at };
}
