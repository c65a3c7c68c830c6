import type { OutletUse } from '../../berths/occupancy.ts';
import type { InventoryIndex } from '../../inventory/index-inventory.ts';
import type { Equipment, Outlet } from '../../inventory/inventory.ts';
import { overlaps, type Period } from '../../periods.ts';
import { admittedFromCounts, type FactorRows } from './admitted-counts.ts';
import { loadLength, noLoad } from './channels.ts';
import type { LoadBasis } from './demand-of-part.ts';
import { loadModel } from './load-model.ts';
import { measure } from './part-measures.ts';
import { type PartRatings, partRatings } from './part-ratings.ts';

/** Receptacles in use on a part, by distinct load: how many, and their stated shares of it summed. */
interface InUse {
  readonly counts: Int32Array;
  readonly shares: Float64Array;
}

/** From `at` on. */
interface PartState extends InUse {
  readonly at: number;
}

/** A part's states over a period that can hold a peak: those after which a use ends, and the last. */
export interface PartSweep {
  readonly ratings: PartRatings;
  readonly states: readonly PartState[];
  /** What is in use when the period begins, and every change within it in its order. */
  readonly start: InUse;
  readonly turns: readonly Turn[];
  /** Outlets in use whose load is unknown. */
  readonly unknown: readonly Outlet[];
  /** Room to compute in, used again for every addition that is judged. */
  readonly scratch: Scratch;
}

interface Scratch {
  readonly counts: Int32Array;
  readonly shares: Float64Array;
  readonly load: Float64Array;
  readonly measures: Float64Array;
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

/** A use of one outlet, with the share of its rating that the boat states. */
interface LoadingUse extends Period {
  readonly share: number;
}

/** Uses that load something in the period, by the outlet's place in the inventory. */
export type UsesByOutlet = readonly (readonly LoadingUse[] | undefined)[];

export function usesByOutlet(index: InventoryIndex, uses: readonly OutletUse[], period: Period): UsesByOutlet {
  const model = loadModel(index);
  const byOutlet = new Array<LoadingUse[] | undefined>(index.inventory.outlets.length).fill(undefined);
  for (const { outletId, by, from, until, statedVa } of uses) {
    const ordinal = model.ordinals.get(outletId);
    const outlet = ordinal === undefined ? undefined : index.inventory.outlets[ordinal];
    if (ordinal === undefined || outlet === undefined || by.kind === 'outOfService') continue;
    if (from >= until || !overlaps({ from, until }, period)) continue;
    const rating = statedVa === null ? null : model.outletLoad(outlet).rating;
    const share = statedVa === null || rating === null ? 1 : statedVa / rating.leastVa;
    const ofOutlet = byOutlet[ordinal];
    if (ofOutlet === undefined) byOutlet[ordinal] = [{ from, until, share }];
    else ofOutlet.push({ from, until, share });
  }
  return byOutlet;
}

interface Turn {
  readonly at: number;
  readonly change: 1 | -1;
  readonly index: number;
  readonly share: number;
}

/** Follows one part through the period. More load never measures less, so only states before an end can be peaks. */
export function sweepPart(index: InventoryIndex, part: Equipment, byOutlet: UsesByOutlet, period: Period): PartSweep {
  const ratings = partRatings(index, part);
  const counts = new Int32Array(ratings.loadCount);
  const shares = new Float64Array(ratings.loadCount);
  const turns: Turn[] = [];
  const unknown: Outlet[] = [];
  const turn = (i: number, change: 1 | -1, share: number) => {
    counts[i] = (counts[i] ?? 0) + change;
    shares[i] = (shares[i] ?? 0) + change * share;
  };
  for (let o = 0; o < ratings.outlets.length; o++) {
    const uses = byOutlet[ratings.ordinals[o] ?? -1];
    if (uses === undefined) continue;
    const i = ratings.indexes[o] ?? -1;
    const outlet = ratings.outlets[o];
    if (i < 0) {
      if (outlet !== undefined) unknown.push(outlet);
      continue;
    }
    for (const { from, until, share } of uses) {
      if (from <= period.from) turn(i, 1, share);
      else turns.push({ at: from, change: 1, index: i, share });
      if (until < period.until) turns.push({ at: until, change: -1, index: i, share });
    }
  }
  // Periods are half-open: who leaves at an instant has left before the next one plugs in.
  turns.sort((a, b) => a.at - b.at || a.change - b.change);

  const start = { counts: counts.slice(), shares: shares.slice() };
  const states: PartState[] = [];
  let at = period.from;
  let grown = true;
  for (const { at: when, change, index: i, share } of turns) {
    if (change === 1) at = when;
    else if (grown) states.push({ at, counts: counts.slice(), shares: shares.slice() });
    grown = change === 1;
    turn(i, change, share);
  }
  if (grown) states.push({ at, counts, shares });
  const scratch: Scratch = {
    counts: new Int32Array(ratings.loadCount),
    shares: new Float64Array(ratings.loadCount),
    load: noLoad(),
    measures: new Float64Array(ratings.gauge.measureCount),
  };
  return { ratings, states, start, turns, unknown, scratch };
}

/** Peaks of one part, with a boat's receptacles added for the whole period. */
export function peaksOf(sweep: PartSweep, basis: LoadBasis, rows: FactorRows, added: AddedUse): Peaks {
  const { ratings, states, scratch } = sweep;
  const { load, measures } = scratch;
  const values = new Float64Array(ratings.gauge.measureCount).fill(-1);
  const at = new Float64Array(ratings.gauge.measureCount);
  for (const state of states) {
    loadOf(sweep, basis, rows, added, state);
    measure(ratings.gauge, load, measures);
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

/** Leaves in `scratch.load` what these in use and the added ones load the part with. */
export function loadOf(
  { ratings, scratch: { counts, shares, load } }: PartSweep,
  basis: LoadBasis,
  rows: FactorRows,
  added: AddedUse,
  inUse: InUse,
): void {
  if (basis === 'rated') {
    counts.set(inUse.counts);
    for (const i of added.indexes) counts[i] = (counts[i] ?? 0) + 1;
    loadByCounts(ratings, rows, counts, load);
  } else {
    shares.set(inUse.shares);
    for (const i of added.indexes) shares[i] = (shares[i] ?? 0) + added.statedShare;
    loadByShares(ratings, shares, load);
  }
}

/** The part's load with so many receptacles of each of its ratings in use. */
export function loadByCounts(
  { ranked, other }: PartRatings,
  rows: FactorRows,
  counts: ArrayLike<number>,
  load: Float64Array,
): void {
  let countAll = 0;
  for (let i = 0; i < counts.length; i++) countAll += counts[i] ?? 0;
  for (let channel = 0; channel < loadLength; channel++) {
    const ratings = ranked[channel];
    const admitted = ratings === undefined ? 0 : admittedFromCounts(rows, ratings, counts, countAll);
    load[channel] = (other[channel] ?? 0) + admitted;
  }
}

/** The part's load with these shares, summed, of each of its ratings. */
export function loadByShares({ ranked, other }: PartRatings, shares: ArrayLike<number>, load: Float64Array): void {
  for (let channel = 0; channel < loadLength; channel++) {
    let sum = other[channel] ?? 0;
    const ratings = ranked[channel];
    if (ratings !== undefined) {
      for (let i = 0; i < ratings.index.length; i++) sum += (ratings.va[i] ?? 0) * (shares[ratings.index[i] ?? 0] ?? 0);
    }
    load[channel] = sum;
  }
}
