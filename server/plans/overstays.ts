import { subtractBoxes } from '../../core/berths/space-uses.ts';
import type { InventoryIndex } from '../../core/inventory/index-inventory.ts';
import { subtract } from '../../core/periods.ts';
import type { Tx } from '../db/client.ts';
import { nextLocalHour } from '../local-time.ts';
import type { Occupancy } from '../occupancy/load.ts';

/**
 * Adds what boats take that lie here beyond their departure. Nobody knows when they leave: as a boat that is found, each
 * is taken to lie where it lay last until the next hour of departure, plugged in as before, and its space is kept for the
 * turnover time after that. What others have by then stays theirs.
 */
export async function withOverstays(
  db: Tx,
  marinaId: string,
  { inventory, berths }: InventoryIndex,
  { spaceUses, outletUses, stockUses }: Occupancy,
  now: number,
): Promise<Occupancy> {
  const { settings, timeZone } = inventory;
  const rows = await db.stay.findMany({
    where: { marinaId, state: 'arrived', departureAt: { lte: new Date(now) } },
    include: {
      boat: { select: { name: true } },
      assignments: { orderBy: { untilAt: 'desc' }, take: 1, include: { outletUses: true } },
    },
    orderBy: { id: 'asc' },
  });
  const until = nextLocalHour(now, settings.departureHour, timeZone);
  const keptUntil = until + settings.turnoverMinutes * 60_000;
  const spaces = [...spaceUses];
  const outlets = [...outletUses];
  for (const { boat, assignments } of rows) {
    const [last] = assignments;
    if (last === undefined) continue;
    const by = { kind: 'assignment', id: last.id, label: boat.name } as const;
    for (const unitId of berths.get(last.berthId)?.unitIds ?? []) {
      const metres = { unitId, fromM: last.faceFromM ?? 0, untilM: last.faceUntilM ?? 1 };
      const lies = { ...metres, from: last.occupiedUntil.getTime(), until: keptUntil };
      spaces.push(...subtractBoxes(lies, spaces).map((box) => ({ ...box, by })));
    }
    for (const { outletId, statedVa, untilAt } of last.outletUses) {
      const others = outlets.filter((use) => use.outletId === outletId);
      const plugged = subtract({ from: untilAt.getTime(), until }, others);
      outlets.push(...plugged.map((period) => ({ ...period, outletId, statedVa, by })));
    }
  }
  return { spaceUses: spaces, outletUses: outlets, stockUses };
}
