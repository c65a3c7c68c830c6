import { overlaps, type Period } from '../../periods.ts';
import type { OutletUse, SpaceUse, StockUse } from '../occupancy.ts';
import { stockIdsOf } from './columns.ts';
import type { Placed } from './placed.ts';
import type { PlanStay } from './question.ts';
import type { PlanScene } from './scene.ts';

const dayMs = 86_400_000;

/** What everybody has, found by the days of a period: a plan asks for it once for each of its stays. */
export interface BookUses {
  readonly of: (
    period: Period,
    without: PlanStay,
  ) => { readonly spaceUses: SpaceUse[]; readonly outletUses: OutletUse[]; readonly stockUses: StockUse[] };
  readonly add: (placed: Placed) => void;
  readonly remove: (placed: Placed) => void;
}

export function usesByDay({ question }: PlanScene): BookUses {
  const span = {
    from: question.stays.reduce((least, { period }) => Math.min(least, period.from), Number.POSITIVE_INFINITY),
    until: question.stays.reduce((most, stay) => Math.max(most, stay.occupiedUntil), 0),
  };
  const spaces = byDay(span, question.spaceUses, spaceUsesOf);
  const outlets = byDay(span, question.outletUses, outletUsesOf);
  const stock = byDay(span, question.stockUses, stockUsesOf);
  const all = [spaces, outlets, stock];
  return {
    of: (period, without) => ({
      spaceUses: spaces.of(period, without),
      outletUses: outlets.of(period, without),
      stockUses: stock.of(period, without),
    }),
    add: (placed) => {
      for (const { add } of all) add(placed);
    },
    remove: (placed) => {
      for (const { remove } of all) remove(placed);
    },
  };
}

function byDay<Use extends Period>(span: Period, fixed: readonly Use[], usesOf: (placed: Placed) => readonly Use[]) {
  const dayOf = (at: number) => Math.floor((Math.min(Math.max(at, span.from), span.until) - span.from) / dayMs);
  const days = Array.from({ length: Math.max(0, dayOf(span.until)) + 1 }, (): { by: Placed | null; use: Use }[] => []);
  const put = (by: Placed | null, use: Use) => {
    for (let day = dayOf(use.from); day <= dayOf(use.until); day++) days[day]?.push({ by, use });
  };
  for (const use of fixed) put(null, use);
  return {
    add: (placed: Placed) => {
      for (const use of usesOf(placed)) put(placed, use);
    },
    remove: (placed: Placed) => {
      for (let day = dayOf(placed.period.from); day <= dayOf(placed.period.until); day++)
        days[day] = (days[day] ?? []).filter(({ by }) => by !== placed);
    },
    of: (period: Period, without: PlanStay): Use[] => {
      const found: Use[] = [];
      const first = dayOf(period.from);
      for (let day = first; day <= dayOf(period.until); day++) {
        for (const { by, use } of days[day] ?? []) {
          // One that lasts over several of the days is found on the first of them.
          if (day !== Math.max(first, dayOf(use.from)) || by?.stay === without) continue;
          if (overlaps(use, period)) found.push(use);
        }
      }
      return found;
    },
  };
}

function userOf({ stay: { id, label } }: Placed) {
  return { kind: 'assignment', id, label } as const;
}

function spaceUsesOf(each: Placed): SpaceUse[] {
  const { fromM, untilM } = each.place ?? { fromM: 0, untilM: 1 };
  const by = userOf(each);
  return each.berth.unitIds.map((unitId) => ({ unitId, fromM, untilM, ...each.period, by }));
}

function outletUsesOf(each: Placed): OutletUse[] {
  const by = userOf(each);
  return each.outletIds.map((outletId, i) => ({ outletId, statedVa: each.statedVa[i] ?? null, ...each.period, by }));
}

function stockUsesOf({ stay, adapters, period }: Placed): StockUse[] {
  return stockIdsOf(adapters).map((stockId) => ({ stockId, quantity: 1, ...period, assignmentId: stay.id }));
}
