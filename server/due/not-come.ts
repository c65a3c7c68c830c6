import type { Inventory } from '../../core/inventory/inventory.ts';
import { raiseAlerts } from '../check-ins/raise-alerts.ts';
import type { Database, Tx } from '../db/client.ts';
import type { InventoryCache } from '../inventory/inventory-cache.ts';
import { localTime, nextLocalHour } from '../local-time.ts';
import type { WhatWasDone } from './what-was-done.ts';

interface Awaited {
  readonly id: string;
  readonly boatName: string;
  readonly arrivalAt: Date;
}

// One alert for each arrival: one that is put off is awaited anew.
const statement = `SELECT s.id, b.name AS "boatName", s.arrival_at AS "arrivalAt" FROM stay s
  JOIN boat b ON b.marina_id = s.marina_id AND b.id = s.boat_id
  WHERE s.marina_id = $1 AND s.state = 'promised' AND s.arrival_at <= $2::timestamptz AND NOT EXISTS (
    SELECT FROM desk_alert a WHERE a.marina_id = s.marina_id AND a.stay_id = s.id AND a.kind = 'notCome'
      AND a.at >= s.arrival_at)
  ORDER BY s.arrival_at, s.id`;

type Clock = Pick<Inventory, 'timeZone' | 'settings'>;

/** When the next promised boat that has not come is to be told of; null: none is awaited. */
export async function nextNotCome(db: Database, inventories: InventoryCache, marinaId: string, now: number) {
  const { rows } = await db.pool.query<Awaited>(statement, [marinaId, new Date(now)]);
  if (rows.length === 0) return null;
  const { index } = await inventories.inventoryOf(db.prisma, marinaId);
  return Math.min(...rows.map((stay) => dueAt(stay, index.inventory)));
}

/**
 * Tells the desk of boats that nobody has recorded by the marina's hour. That nobody recorded them is no proof that they
 * are not there (a phone without signal has not told yet), so their berths are kept until a person enters the no-show.
 */
export async function alertOfNotCome(
  tx: Tx,
  inventories: InventoryCache,
  marinaId: string,
  now: number,
): Promise<WhatWasDone> {
  const { index } = await inventories.inventoryOf(tx, marinaId);
  const clock = index.inventory;
  const awaited = await tx.$queryRawUnsafe<Awaited[]>(statement, marinaId, new Date(now));
  const due = awaited.filter((stay) => dueAt(stay, clock) <= now);
  await raiseAlerts(
    tx,
    marinaId,
    now,
    due.map((stay) => ({
      kind: 'notCome',
      stayId: stay.id,
      message: `"${stay.boatName}" was to come ${localTime(stay.arrivalAt.getTime(), clock.timeZone)}, and nobody has recorded it by ${localTime(dueAt(stay, clock), clock.timeZone)}. Record its arrival, or enter a no-show to free its berth.`,
      findings: [],
    })),
  );
  return { before: null, after: { stayIds: due.map(({ id }) => id) } };
}

function dueAt({ arrivalAt }: Awaited, { settings, timeZone }: Clock): number {
  return nextLocalHour(arrivalAt.getTime(), settings.noShowHour, timeZone);
}
