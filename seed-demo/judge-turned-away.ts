import type { OutletUse, SpaceUse, StockUse } from '../core/berths/occupancy.ts';
import { prepare } from '../core/berths/options/prepare.ts';
import { rankBerths } from '../core/berths/options/rank-berths.ts';
import type { Boat } from '../core/boats.ts';
import type { Finding } from '../core/findings.ts';
import type { InventoryIndex } from '../core/inventory/index-inventory.ts';
import type { Period } from '../core/periods.ts';
import type { DemandPractice } from '../core/standards/demand-practice.ts';
import { localDaysOf } from '../server/local-time.ts';
import type { DemoHolding } from './holders.ts';
import { assignmentId, heldOutlets, heldSpace, outletsOf, type Placement, spaceOf, stockOf } from './place-stays.ts';
import type { DemoTurnedAway } from './turned-away.ts';

export type Reasons = readonly { readonly rule: string | null; readonly note: string }[];

/** The berth that came nearest says why none was given. */
export function reasonsOf(refusals: readonly Finding[]): Reasons {
  return refusals.map(({ rule, message }) => ({ rule, note: message.slice(0, 500) }));
}

/** Judges calls turned away on the season as it was given out; where a berth was free, the caller had other reasons. */
export function judgeTurnedAway(
  index: InventoryIndex,
  practice: DemandPractice,
  holdings: readonly DemoHolding[],
  placements: readonly Placement[],
): (call: DemoTurnedAway, boat: Boat | undefined) => Reasons {
  const spaces: SpaceUse[] = heldSpace(holdings);
  const outlets: OutletUse[] = heldOutlets(holdings);
  const stock: StockUse[] = [];
  for (const placement of placements) {
    if (placement.option === null) continue;
    const { stay, boat, option, occupiedUntil } = placement;
    const by = { kind: 'assignment', id: assignmentId(stay), label: boat.name } as const;
    const kept = { from: stay.from, until: occupiedUntil };
    spaces.push(...spaceOf(index, option).map((part) => ({ ...part, ...kept, by })));
    outlets.push(...outletsOf(index, boat, option).map((outlet) => ({ ...outlet, ...kept, by })));
    stock.push(...stockOf(option).map((use) => ({ ...use, ...kept, assignmentId: by.id })));
  }
  const { timeZone, settings } = index.inventory;
  return ({ id, from, until, wishes, otherwise }, boat) => {
    if (boat === undefined) throw new Error(`call "${id}" names no boat of the demo`);
    const occupiedUntil = until + settings.turnoverMinutes * 60_000;
    const during = (use: Period) => use.from < occupiedUntil && from < use.until;
    const question = {
      index,
      practice,
      boat,
      period: { from, until },
      occupiedUntil,
      localDays: localDaysOf({ from, until }, timeZone),
      wishes,
      spaceUses: spaces.filter(during),
      outletUses: outlets.filter(during),
      stockUses: stock.filter(during),
    };
    const nearest = rankBerths(prepare(question))[0]?.describe();
    if (nearest === undefined) throw new Error('the demo marina has no berth');
    if (nearest.verdict !== 'refused') return [{ rule: null, note: otherwise }];
    return reasonsOf(nearest.findings.filter(({ level }) => level === 'refuse'));
  };
}
