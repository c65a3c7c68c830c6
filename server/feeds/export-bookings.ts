import { toldValue } from '../../core/berths/told-value.ts';
import { boatOf } from '../boats/stored-boat.ts';
import { localTimestamp } from '../local-time.ts';
import type { Services } from '../services.ts';
import { bookingColumns } from './booking-lines.ts';
import { csvText } from './csv-text.ts';

/** Stays of a period as CSV, by arrival, with the columns that an import reads. Times are by the marina's clocks. */
export async function exportBookings(
  { db, inventories }: Services,
  marinaId: string,
  { from, until }: { readonly from: string; readonly until: string },
): Promise<string> {
  const { index } = await inventories.inventoryOf(db.prisma, marinaId);
  const { timeZone } = index.inventory;
  const rows = await db.prisma.stay.findMany({
    where: { marinaId, departureAt: { gt: new Date(from) }, arrivalAt: { lt: new Date(until) } },
    include: { boat: true, assignments: { orderBy: [{ fromAt: 'asc' }, { id: 'asc' }] } },
    orderBy: [{ arrivalAt: 'asc' }, { id: 'asc' }],
  });
  const lines = rows.map(({ boat: stored, assignments, ...row }) => {
    const boat = boatOf(stored);
    const berths = assignments.map(({ berthId }) => index.berths.get(berthId)?.label ?? berthId);
    const cells: Record<(typeof bookingColumns)[number], string | number | null> = {
      name: row.contactName,
      phone: row.contactPhone,
      boatName: boat.name,
      lengthOverallM: toldValue(boat.lengthOverallM),
      beamM: toldValue(boat.beamM),
      draftM: toldValue(boat.draftM),
      hull: toldValue(boat.hull),
      plug: null,
      arrival: localTimestamp(row.arrivalAt.getTime(), timeZone),
      departure: localTimestamp(row.departureAt.getTime(), timeZone),
      priority: row.priority,
      note: row.note,
    };
    return [row.id, row.state, [...new Set(berths)].join(' '), ...bookingColumns.map((column) => cells[column])];
  });
  return csvText([['id', 'state', 'berth', ...bookingColumns], ...lines]);
}
