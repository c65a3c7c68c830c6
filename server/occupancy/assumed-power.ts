import { toldValue } from '../../core/berths/told-value.ts';
import type { InventoryIndex } from '../../core/inventory/index-inventory.ts';
import type { Outlet } from '../../core/inventory/inventory.ts';
import type { Period } from '../../core/periods.ts';
import { configuration } from '../../core/standards/configurations.ts';
import { boatOf } from '../boats/stored-boat.ts';
import type { Tx } from '../db/client.ts';
import type { Assignment } from '../db/generated/client.ts';
import type { BerthParts } from './berth-parts.ts';
import type { FoundBoat } from './found-stay.ts';

/** What a found boat is taken to draw from while nobody has looked. */
export interface AssumedPower {
  readonly outlets: readonly { readonly outletId: string; readonly statedVa: number | null }[];
  readonly stock: readonly { readonly stockId: string; readonly quantity: number }[];
}

export const noPower: AssumedPower = { outlets: [], stock: [] };

interface Found {
  readonly boat: FoundBoat;
  readonly place: BerthParts;
  readonly period: Period;
  /** The boat's own assignments in the period, not cut yet. */
  readonly own: readonly Assignment[];
}

/**
 * A boat that lies somewhere is taken to be plugged in: unknown is never no load. On the berth that it was assigned it keeps
 * the outlets and adapters of that assignment; elsewhere the largest outlet in reach that no other boat has counts with
 * its rating. Nothing is assumed of a boat that wants no power, or whose outlets load their feeder as its holding's. Read
 * it before its own assignments are cut.
 */
export async function assumedPower(
  tx: Tx,
  marinaId: string,
  index: InventoryIndex,
  { boat, place, period, own }: Found,
): Promise<AssumedPower> {
  if (toldValue(boatOf(boat).wantsPower) === false) return noPower;
  const ownIds = own.map(({ id }) => id);
  const inReach = place.berth.reaches.map(({ outletId }) => outletId);
  const uses = await tx.outletUse.findMany({
    where: {
      marinaId,
      fromAt: { lt: new Date(period.until) },
      untilAt: { gt: new Date(period.from) },
      OR: [{ outletId: { in: inReach } }, { assignmentId: { in: ownIds } }],
    },
    orderBy: { id: 'asc' },
  });
  const holdings = uses.flatMap(({ holdingId }) => holdingId ?? []);
  if ((await tx.holding.count({ where: { marinaId, id: { in: holdings }, boatId: boat.id } })) > 0) return noPower;

  const isOwn = (id: string | null) => id !== null && ownIds.includes(id);
  const taken = new Set(
    uses.filter((use) => use.holdingId === null && !isOwn(use.assignmentId)).map(({ outletId }) => outletId),
  );
  const here = own.filter(({ berthId }) => berthId === place.berth.id).map(({ id }) => id);
  const kept = uses.filter(({ assignmentId, outletId }) => here.includes(assignmentId ?? '') && !taken.has(outletId));
  if (kept.length > 0) {
    const stock = await tx.stockUse.findMany({
      where: { marinaId, assignmentId: { in: here }, untilAt: { gt: new Date(period.from) } },
    });
    return {
      outlets: onceEach(kept.map(({ outletId, statedVa }) => ({ outletId, statedVa }))),
      stock: stock.map(({ stockId, quantity }) => ({ stockId, quantity })),
    };
  }
  const largest = largestOf(inReach.flatMap((id) => index.outlets.get(id) ?? []).filter(({ id }) => !taken.has(id)));
  return largest === null ? noPower : { outlets: [{ outletId: largest.id, statedVa: null }], stock: [] };
}

function onceEach<Use extends { readonly outletId: string }>(uses: readonly Use[]): Use[] {
  return [...new Map(uses.map((use) => [use.outletId, use])).values()];
}

function largestOf(outlets: readonly Outlet[]): Outlet | null {
  let largest: Outlet | null = null;
  let largestA = 0;
  for (const outlet of outlets) {
    const pattern = configuration(outlet.configurationId);
    if (pattern === null || !pattern.shorePower || pattern.ratedA <= largestA) continue;
    largest = outlet;
    largestA = pattern.ratedA;
  }
  return largest;
}
