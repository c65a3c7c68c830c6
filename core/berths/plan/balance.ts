import { loadModel } from '../../electrical/demand/load-model.ts';
import type { Equipment } from '../../inventory/inventory.ts';
import type { Period } from '../../periods.ts';
import type { Book } from './book.ts';
import type { PlanColumn, PlanCosts } from './columns.ts';
import { placesOf } from './place.ts';
import type { Placed } from './placed.ts';
import type { PlanState } from './plan-state.ts';
import type { PlanStay } from './question.ts';
import type { PlanScene } from './scene.ts';

/** How evenly a plan loads its feeders, by the ratings of what is in use below them. */
export interface Balance {
  /** Largest less smallest line of each feeder, A, summed over feeders and over the moments at which something begins. */
  readonly unbalanceA: number;
  /** The largest part of a feeder's limit that one of its lines takes at any moment, percent; 0 where none is stated. */
  readonly peakPercent: number;
}

interface Feeder {
  readonly part: Equipment;
  readonly lines: readonly number[];
  readonly limitA: number | null;
}

/** Load of every feeder line at every moment, and what a change would do to it. */
interface Lines {
  readonly add: (outletIds: readonly string[], period: Period, sign: 1 | -1) => void;
  /** Unbalance over a period, and squares of the shares of the limits: what is to be small, in this order. */
  readonly measure: (outletIds: readonly string[], period: Period) => readonly [number, number];
  readonly balance: () => Balance;
}

const mostPlaces = 24;
const mostPasses = 3;

/** Measures a plan as it is. */
export function balanceOf(scene: PlanScene, book: Book): Balance {
  return linesOf(scene, book).balance();
}

/**
 * Gives stays other places that cost the same in every aim before, where that loads the lines of the feeders more evenly
 * and, where they are as even, leaves more of their limits. Not proven the best: each stay by itself, in turn.
 * @param goOn asked for each stay; false ends it
 */
export function balanceLines(state: PlanState, book: Book, goOn: () => boolean): void {
  const lines = linesOf(state.scene, book);
  const columnsOf = new Map<PlanStay, PlanColumn[]>();
  for (const column of state.columns) {
    if (column.way === null) continue;
    const own = columnsOf.get(column.stay);
    if (own === undefined) columnsOf.set(column.stay, [column]);
    else own.push(column);
  }
  for (let pass = 0; pass < mostPasses; pass++) {
    let isBetter = false;
    for (const placed of book.placed()) {
      if (placed.isKept || placed.outletIds.length === 0) continue;
      if (!goOn()) return;
      const same = (columnsOf.get(placed.stay) ?? []).filter(({ costs }) => areSame(costs, placed.costs));
      book.remove(placed);
      lines.add(placed.outletIds, placed.period, -1);
      const best = bestPlace(state, book, lines, placed, same);
      isBetter ||= best !== placed;
      book.add(best);
      lines.add(best.outletIds, best.period, 1);
    }
    if (!isBetter) return;
  }
}

function bestPlace(state: PlanState, book: Book, lines: Lines, placed: Placed, columns: readonly PlanColumn[]): Placed {
  let best = placed;
  // What a place adds to the lines: the feeders of other places change as well, so each is measured with and without.
  const added = ({ outletIds, period }: Placed): readonly [number, number] => {
    const [before, squaresBefore] = lines.measure(outletIds, period);
    lines.add(outletIds, period, 1);
    const [after, squaresAfter] = lines.measure(outletIds, period);
    lines.add(outletIds, period, -1);
    return [after - before, squaresAfter - squaresBefore];
  };
  let least = added(placed);
  let tried = 0;
  for (const column of columns) {
    for (const place of placesOf(state, book, column)) {
      if (++tried > mostPlaces) return best;
      if (!areSame(place.costs, placed.costs) || book.conflicts(place).length > 0) continue;
      const own = added(place);
      const isEven = Math.abs(own[0] - least[0]) < 1e-6;
      if (isEven ? own[1] < least[1] - 1e-9 : own[0] < least[0]) {
        best = place;
        least = own;
      }
    }
  }
  return best;
}

function areSame(a: PlanCosts, b: PlanCosts): boolean {
  return a.moves === b.moves && a.notNative === b.notNative && a.waste === b.waste && a.unmet === b.unmet;
}

const lineNames = ['L1', 'L2', 'L3'] as const;

function linesOf({ question, moments }: PlanScene, book: Book): Lines {
  const { index, outletUses } = question;
  const model = loadModel(index);
  const feeders: Feeder[] = [];
  const numbers = new Map<Equipment, number>();
  const feederOf = (outletId: string): number => {
    const part = index.pathOfOutlet.get(outletId)?.[0];
    if (part === undefined) return -1;
    const known = numbers.get(part);
    if (known !== undefined) return known;
    const limits = [part.breakerA, part.conductorAmpacityA, part.busA].filter((limit) => limit !== null);
    const names: readonly string[] =
      part.lines ?? index.systemOfEquipment.get(part.id)?.lines.map(({ name }) => name) ?? [];
    const lines = [0, 1, 2].filter((line) => names.includes(lineNames[line] ?? ''));
    numbers.set(part, feeders.length);
    return feeders.push({ part, lines, limitA: limits.length === 0 ? null : Math.min(...limits) }) - 1;
  };
  for (const { id } of index.inventory.outlets) feederOf(id);
  const loads = new Float64Array(feeders.length * moments.length * 3);
  const at = (feeder: number, moment: number, line: number) =>
    loads[(feeder * moments.length + moment) * 3 + line] ?? 0;
  const momentsIn = ({ from, until }: Period): number[] =>
    [...moments.keys()].filter((m) => from <= (moments[m] ?? 0) && (moments[m] ?? 0) < until);
  const add: Lines['add'] = (outletIds, period, sign) => {
    const during = momentsIn(period);
    for (const id of outletIds) {
      const feeder = feederOf(id);
      const outlet = index.outlets.get(id);
      const lineA = outlet === undefined ? null : (model.outletLoad(outlet).rating?.lineA ?? null);
      if (feeder < 0 || lineA === null) continue;
      for (const m of during) {
        for (let line = 0; line < 3; line++) {
          const place = (feeder * moments.length + m) * 3 + line;
          loads[place] = (loads[place] ?? 0) + sign * (lineA[lineNames[line] ?? 'L1'] ?? 0);
        }
      }
    }
  };
  const unbalanceAt = (feeder: number, m: number): number => {
    const carried = (feeders[feeder]?.lines ?? []).map((line) => at(feeder, m, line));
    return carried.length < 2 ? 0 : Math.max(...carried) - Math.min(...carried);
  };
  const shareAt = (feeder: number, m: number): number => {
    const { limitA, lines } = feeders[feeder] ?? { limitA: null, lines: [] };
    return limitA === null || limitA <= 0 ? 0 : Math.max(0, ...lines.map((line) => at(feeder, m, line))) / limitA;
  };
  for (const { outletId, by, ...period } of outletUses) if (by.kind !== 'outOfService') add([outletId], period, 1);
  for (const { outletIds, period } of book.placed()) add(outletIds, period, 1);
  return {
    add,
    measure: (outletIds, period) => {
      let [unbalance, squares] = [0, 0];
      const during = momentsIn(period);
      for (const feeder of new Set(outletIds.map(feederOf))) {
        if (feeder < 0) continue;
        for (const m of during) {
          unbalance += unbalanceAt(feeder, m);
          squares += shareAt(feeder, m) ** 2;
        }
      }
      return [unbalance, squares];
    },
    balance: () => {
      let [unbalanceA, peak] = [0, 0];
      for (const feeder of feeders.keys()) {
        for (const m of moments.keys()) {
          unbalanceA += unbalanceAt(feeder, m);
          peak = Math.max(peak, shareAt(feeder, m));
        }
      }
      return { unbalanceA: Math.round(unbalanceA), peakPercent: Math.round(100 * peak) };
    },
  };
}
