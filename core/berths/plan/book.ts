import type { Berth } from '../../inventory/inventory.ts';
import { overlaps, type Period } from '../../periods.ts';
import { exceeds } from '../metres.ts';
import { spaceRules } from '../options/judge-space.ts';
import { type BookUses, usesByDay } from './book-uses.ts';
import { stockIdsOf } from './columns.ts';
import type { Placed } from './placed.ts';
import type { PlanStay } from './question.ts';
import type { PlanScene } from './scene.ts';

/** Who would have to give way: stays of the plan, or something that it leaves alone. */
export interface Conflict {
  readonly rule: string;
  /** The equipment whose limit is passed, or the adapter that is out; null elsewhere. */
  readonly subject: string | null;
  /** Null: not one of the plan's stays. */
  readonly with: Placed | null;
}

interface Taken extends Period {
  readonly fromM: number;
  readonly untilM: number;
  readonly by: Placed | null;
  readonly rule: string;
}

/** Who has what and when, while a plan is put together. */
export interface Book {
  readonly placed: () => readonly Placed[];
  readonly isPlaced: (stay: PlanStay) => boolean;
  readonly of: (stay: PlanStay) => Placed | undefined;
  /** What stands in the way of placing it; empty: nothing does. Stops at the first one where `all` is false. */
  readonly conflicts: (placed: Placed, all?: boolean) => Conflict[];
  readonly add: (placed: Placed) => void;
  readonly remove: (placed: Placed) => void;
  /** End of the last use of the berth's units before a moment; 0 where there is none. */
  readonly lastUseBefore: (berth: Berth, at: number) => number;
  /** Everything in use within a period, as core's rules take it. */
  readonly uses: BookUses['of'];
}

export function createBook(scene: PlanScene): Book {
  // Nobody asks for it while boats are put into slips: it is kept from the first time on.
  let uses: BookUses | null = null;
  const { index, spaceUses, outletUses, stockUses } = scene.question;
  const { beamClearanceM } = index.inventory.settings;
  const byStay = new Map<string, Placed[]>();
  const units = new Map<string, Taken[]>();
  const outlets = new Map<string, Taken[]>();
  const stock = new Map<string, (Period & { readonly quantity: number; readonly by: Placed | null })[]>();
  // Load only rises where a use begins: what is in use at those moments is all that a limit can be passed by.
  const { moments } = scene;
  const loads = scene.limits.map(({ loadCount }) => new Float64Array(moments.length * loadCount));
  const addLoad = (limit: number, load: number, amount: number, { from, until }: Period) => {
    const ofLimit = loads[limit];
    const count = scene.limits[limit]?.loadCount ?? 0;
    if (ofLimit === undefined) return;
    for (let m = firstAtOrAfter(moments, from); m < moments.length && (moments[m] ?? 0) < until; m++)
      ofLimit[m * count + load] = (ofLimit[m * count + load] ?? 0) + amount;
  };
  const whole = { fromM: 0, untilM: 1 };
  for (const { unitId, by, ...use } of spaceUses) push(units, unitId, { ...use, by: null, rule: spaceRules[by.kind] });
  for (const { outletId, by, from, until, statedVa } of outletUses) {
    push(outlets, outletId, { from, until, ...whole, by: null, rule: 'outlet.taken' });
    if (by.kind === 'outOfService') continue;
    scene.limits.forEach((limit, i) => {
      const load = limit.indexOf(outletId);
      const amount = scene.isRated ? 1 : scene.shareOf(outletId, statedVa);
      if (load >= 0) addLoad(i, load, amount, { from, until });
    });
  }
  for (const { stockId, from, until, quantity } of stockUses) push(stock, stockId, { from, until, quantity, by: null });

  const isFace = (berth: Berth) => berth.faceFromM !== null;
  const loadsOn = (limit: number, { outletIds, statedVa }: Placed): { load: number; amount: number }[] =>
    outletIds.flatMap((id, place) => {
      const load = scene.limits[limit]?.indexOf(id) ?? -1;
      const amount = scene.isRated ? 1 : scene.shareOf(id, statedVa[place] ?? null);
      return load < 0 ? [] : [{ load, amount }];
    });

  const conflicts = (placed: Placed, all = false): Conflict[] => {
    const { berth, place, period, outletIds, adapters } = placed;
    const found: Conflict[] = [];
    const { fromM, untilM } = place ?? whole;
    const keptM = isFace(berth) ? beamClearanceM : 0;
    for (const unitId of berth.unitIds) {
      for (const use of units.get(unitId) ?? []) {
        if (!overlaps(use, period)) continue;
        const isApart = !exceeds(use.untilM + keptM, fromM) || !exceeds(untilM + keptM, use.fromM);
        if (isApart) continue;
        found.push({ rule: use.rule, subject: null, with: use.by });
        if (!all) return found;
      }
    }
    for (const outletId of outletIds) {
      for (const use of outlets.get(outletId) ?? []) {
        if (!overlaps(use, period)) continue;
        found.push({ rule: use.rule, subject: null, with: use.by });
        if (!all) return found;
      }
    }
    for (const stockId of new Set(stockIdsOf(adapters))) {
      const wanted = stockIdsOf(adapters).filter((id) => id === stockId).length;
      const out = (stock.get(stockId) ?? []).filter((use) => overlaps(use, period));
      const starts = [period.from, ...out.map(({ from }) => from)].filter((at) => at >= period.from);
      const most = Math.max(
        ...starts.map((at) =>
          out.reduce((sum, use) => (use.from <= at && at < use.until ? sum + use.quantity : sum), 0),
        ),
      );
      if (most + wanted <= (index.adapterStock.get(stockId)?.quantity ?? 0)) continue;
      for (const { by } of out) found.push({ rule: 'stock.none', subject: stockId, with: by });
      if (out.length === 0) found.push({ rule: 'stock.none', subject: stockId, with: null });
      if (!all) return found;
    }
    for (const [limit, capacity] of scene.limits.entries()) {
      const own = loadsOn(limit, placed);
      const ofLimit = loads[limit];
      if (own.length === 0 || ofLimit === undefined) continue;
      const { loadCount } = capacity;
      const amounts = new Float64Array(loadCount);
      for (let m = firstAtOrAfter(moments, period.from); m < moments.length && (moments[m] ?? 0) < period.until; m++) {
        for (let load = 0; load < loadCount; load++) amounts[load] = ofLimit[m * loadCount + load] ?? 0;
        for (const { load, amount } of own) amounts[load] = (amounts[load] ?? 0) + amount;
        if (!capacity.isOver(amounts)) continue;
        found.push({ rule: 'demand.limit', subject: capacity.part.label, with: null });
        if (!all) return found;
        break;
      }
    }
    return found;
  };

  const add = (placed: Placed) => {
    const { stay, berth, place, period, outletIds, adapters } = placed;
    push(byStay, stay.id, placed);
    const taken = { ...period, by: placed };
    for (const unitId of berth.unitIds) push(units, unitId, { ...taken, ...(place ?? whole), rule: 'space.taken' });
    for (const outletId of outletIds) push(outlets, outletId, { ...taken, ...whole, rule: 'outlet.taken' });
    for (const stockId of stockIdsOf(adapters)) push(stock, stockId, { ...taken, quantity: 1 });
    for (const limit of scene.limits.keys())
      for (const { load, amount } of loadsOn(limit, placed)) addLoad(limit, load, amount, period);
    uses?.add(placed);
  };
  const remove = (placed: Placed) => {
    const { stay, berth, period, outletIds, adapters } = placed;
    drop(byStay.get(stay.id), (each) => each === placed);
    const isIts = ({ by }: { readonly by: Placed | null }) => by === placed;
    for (const unitId of berth.unitIds) drop(units.get(unitId), isIts);
    for (const outletId of outletIds) drop(outlets.get(outletId), isIts);
    for (const stockId of stockIdsOf(adapters)) drop(stock.get(stockId), isIts);
    for (const limit of scene.limits.keys())
      for (const { load, amount } of loadsOn(limit, placed)) addLoad(limit, load, -amount, period);
    uses?.remove(placed);
  };

  return {
    placed: () => [...byStay.values()].flat(),
    isPlaced: ({ id }) => (byStay.get(id)?.length ?? 0) > 0,
    of: ({ id }) => byStay.get(id)?.[0],
    conflicts,
    add,
    remove,
    lastUseBefore: (berth, at) => {
      let last = 0;
      for (const unitId of berth.unitIds) {
        for (const { until } of units.get(unitId) ?? []) if (until <= at) last = Math.max(last, until);
      }
      return last;
    },
    uses: (period, without) => {
      if (uses === null) {
        uses = usesByDay(scene);
        for (const each of [...byStay.values()].flat()) uses.add(each);
      }
      return uses.of(period, without);
    },
  };
}

function push<K, T>(map: Map<K, T[]>, key: K, item: T): void {
  const items = map.get(key);
  if (items === undefined) map.set(key, [item]);
  else items.push(item);
}

function drop<T>(items: T[] | undefined, isIt: (item: T) => boolean): void {
  if (items === undefined) return;
  let kept = 0;
  for (const item of items) if (!isIt(item)) items[kept++] = item;
  items.length = kept;
}

/** The place of the first of some ascending numbers that is no smaller. */
function firstAtOrAfter(ascending: Float64Array, at: number): number {
  let [low, high] = [0, ascending.length];
  while (low < high) {
    const middle = (low + high) >> 1;
    if ((ascending[middle] ?? 0) < at) low = middle + 1;
    else high = middle;
  }
  return low;
}
