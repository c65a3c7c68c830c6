import ical from 'ical-generator';
import type { InventoryIndex } from '../../core/inventory/index-inventory.ts';
import type { Database } from '../db/client.ts';

interface Entry {
  readonly id: string;
  readonly from: Date;
  readonly until: Date;
  readonly version: number;
  readonly summary: string;
}

/** Which calendar: berths of a dock, without saying whose, or the stays of one boat. */
export type Subject = { readonly dockId: string } | { readonly boatId: string };

const dayMs = 86_400_000;

/** A calendar by RFC 5545, from thirty days back on. It names no caller and, on a dock, no boat. */
export async function calendarOf(
  { prisma }: Database,
  marinaId: string,
  index: InventoryIndex,
  { name, subject, now }: { readonly name: string; readonly subject: Subject; readonly now: number },
): Promise<string> {
  const rows = await prisma.assignment.findMany({
    where: {
      marinaId,
      untilAt: { gt: new Date(now - 30 * dayMs) },
      ...('boatId' in subject
        ? { stay: { boatId: subject.boatId } }
        : { berthId: { in: berthsOf(index, subject.dockId) } }),
    },
    orderBy: [{ fromAt: 'asc' }, { id: 'asc' }],
  });
  const entries = rows.map(({ id, berthId, fromAt, untilAt, version }): Entry => {
    const berth = `Berth ${index.berths.get(berthId)?.label ?? berthId}`;
    return { id, from: fromAt, until: untilAt, version, summary: 'boatId' in subject ? berth : `${berth} taken` };
  });
  const calendar = ical({ name, prodId: { company: 'Quaywatt', product: 'berths', language: 'EN' } });
  for (const { id, from, until, version, summary } of entries) {
    calendar.createEvent({
      id: `${id}@${marinaId}`,
      start: from,
      end: until,
      stamp: new Date(now),
      sequence: version,
      summary,
      location: index.inventory.name,
    });
  }
  return calendar.toString();
}

function berthsOf(index: InventoryIndex, dockId: string): string[] {
  const isOnDock = (unitId: string) => index.spaceUnits.get(unitId)?.dockId === dockId;
  return index.inventory.berths.filter(({ unitIds }) => unitIds.some(isOnDock)).map(({ id }) => id);
}
