import type { Berth, Orientation } from '../../inventory/inventory.ts';
import { overlaps, type Period } from '../../periods.ts';
import { exceeds, type MetreRange } from '../metres.ts';
import type { OutletUse, SpaceUse, StockUse } from '../occupancy.ts';
import { type PlanCosts, stockIdsOf } from './columns.ts';
import type { AdapterOfPlan, PlanStay } from './question.ts';
import type { PlanScene } from './scene.ts';

/** A stay in a berth with outlets, all of them by name. */
export interface Placed {
  readonly stay: PlanStay;
  /** The place that the stay has today. */
  readonly isKept: boolean;
  readonly berth: Berth;
  readonly orientation: Orientation;
  readonly place: MetreRange | null;
  readonly outletIds: readonly string[];
  readonly adapters: readonly AdapterOfPlan[];
  readonly statedVa: readonly (number | null)[];
  readonly costs: PlanCosts;
  /** When it lies there; the whole stay but for the halves of a divided one. */
  readonly period: Period;
}

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

interface LoadTaken extends Period {
  readonly load: number;
  readonly amount: number;
  readonly by: Placed | null;
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
  readonly uses: (
    period: Period,
    without: PlanStay,
  ) => { readonly spaceUses: SpaceUse[]; readonly outletUses: OutletUse[]; readonly stockUses: StockUse[] };
}

const spaceRule = { assignment: 'space.taken', holding: 'space.held', outOfService: 'space.outOfService' } as const;

export function createBook(scene: PlanScene): Book {
  const { index, spaceUses, outletUses, stockUses } = scene.question;
  const { beamClearanceM } = index.inventory.settings;
  const byStay = new Map<string, Placed[]>();
  const units = new Map<string, Taken[]>();
  const outlets = new Map<string, Taken[]>();
  const stock = new Map<string, (Period & { readonly quantity: number; readonly by: Placed | null })[]>();
  const loads = scene.limits.map((): LoadTaken[] => []);
  const whole = { fromM: 0, untilM: 1 };
  for (const { unitId, by, ...use } of spaceUses) push(units, unitId, { ...use, by: null, rule: spaceRule[by.kind] });
  for (const { outletId, by, from, until, statedVa } of outletUses) {
    push(outlets, outletId, { from, until, ...whole, by: null, rule: 'outlet.taken' });
    if (by.kind === 'outOfService') continue;
    scene.limits.forEach((limit, i) => {
      const load = limit.indexOf(outletId);
      const amount = scene.isRated ? 1 : scene.shareOf(outletId, statedVa);
      if (load >= 0) loads[i]?.push({ from, until, load, amount, by: null });
    });
  }
  for (const { stockId, from, until, quantity } of stockUses) push(stock, stockId, { from, until, quantity, by: null });

  const isFace = (berth: Berth) => berth.faceFromM !== null;
  const loadsOn = (limit: number, { outletIds, statedVa, period }: Placed, by: Placed): LoadTaken[] =>
    outletIds.flatMap((id, place) => {
      const load = scene.limits[limit]?.indexOf(id) ?? -1;
      const amount = scene.isRated ? 1 : scene.shareOf(id, statedVa[place] ?? null);
      return load < 0 ? [] : [{ ...period, load, amount, by }];
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
      const own = loadsOn(limit, placed, placed);
      if (own.length === 0) continue;
      const others = (loads[limit] ?? []).filter((use) => overlaps(use, period));
      const starts = new Set([period.from, ...others.map(({ from }) => from).filter((from) => from > period.from)]);
      const amounts = new Float64Array(capacity.loadCount);
      for (const at of starts) {
        amounts.fill(0);
        for (const { load, amount } of own) amounts[load] = (amounts[load] ?? 0) + amount;
        for (const { load, amount, from, until } of others) {
          if (from <= at && at < until) amounts[load] = (amounts[load] ?? 0) + amount;
        }
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
    loads.forEach((ofLimit, limit) => {
      ofLimit.push(...loadsOn(limit, placed, placed));
    });
  };
  const remove = (placed: Placed) => {
    const { stay, berth, outletIds, adapters } = placed;
    drop(byStay.get(stay.id), (each) => each === placed);
    const isIts = ({ by }: { readonly by: Placed | null }) => by === placed;
    for (const unitId of berth.unitIds) drop(units.get(unitId), isIts);
    for (const outletId of outletIds) drop(outlets.get(outletId), isIts);
    for (const stockId of stockIdsOf(adapters)) drop(stock.get(stockId), isIts);
    for (const ofLimit of loads) drop(ofLimit, isIts);
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
      const others = [...byStay.values()]
        .flat()
        .filter((each) => each.stay !== without && overlaps(each.period, period));
      const by = ({ stay }: Placed) => ({ kind: 'assignment', id: stay.id, label: stay.label }) as const;
      const inPeriod = <T extends Period>(uses: readonly T[]) => uses.filter((use) => overlaps(use, period));
      return {
        spaceUses: [
          ...inPeriod(spaceUses),
          ...others.flatMap((each) =>
            each.berth.unitIds.map((unitId) => ({ unitId, ...(each.place ?? whole), ...each.period, by: by(each) })),
          ),
        ],
        outletUses: [
          ...inPeriod(outletUses),
          ...others.flatMap((each) =>
            each.outletIds.map((outletId, i) => ({
              outletId,
              statedVa: each.statedVa[i] ?? null,
              ...each.period,
              by: by(each),
            })),
          ),
        ],
        stockUses: [
          ...inPeriod(stockUses),
          ...others.flatMap((each) =>
            stockIdsOf(each.adapters).map((stockId) => ({
              stockId,
              quantity: 1,
              ...each.period,
              assignmentId: each.stay.id,
            })),
          ),
        ],
      };
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
