import { z } from 'zod';
import { electricalCautions } from '../../core/cautions.ts';
import type { LeakageReading } from '../../core/electrical/leakage/leakage.ts';
import { leakagePlaces, outletPlaceId } from '../../core/electrical/leakage/places.ts';
import { sumLeakage } from '../../core/electrical/leakage/sum-leakage.ts';
import { leakageSumSchema } from '../calculations/leakage.ts';
import { instant } from '../http/fields.ts';
import { loadPresent } from '../occupancy/overstays.ts';
import type { Services } from '../services.ts';
import { leakageReadings, readingKey } from './leakage-readings.ts';

export const marinaLeakageSchema = z
  .strictObject({ at: instant, tripsSince: instant, ...leakageSumSchema, cautions: z.array(z.string()) })
  .meta({ id: 'MarinaLeakage' });

const tripDays = 30;

/**
 * Leakage under every ground-fault device as the check-ins read it: boats that are plugged in and that nobody has read
 * keep the sum from being a bound. Trips of the last 30 days are counted. Throws a Problem: `not-found`.
 */
export async function marinaLeakage(
  { db, inventories }: Services,
  { marinaId, now }: { readonly marinaId: string; readonly now: number },
): Promise<z.output<typeof marinaLeakageSchema>> {
  const tx = db.prisma;
  const { index } = await inventories.inventoryOf(tx, marinaId);
  const { outletUses } = await loadPresent(tx, marinaId, index, { now, period: { from: now, until: now + 1 } });
  const assignmentIds = outletUses.flatMap(({ by }) => (by.kind === 'assignment' ? [by.id] : []));
  const present = await tx.assignment.findMany({
    where: { marinaId, id: { in: assignmentIds }, stay: { state: 'arrived' } },
    select: { id: true, stay: { select: { boat: { select: { id: true, name: true } } } } },
  });
  const read = await leakageReadings(tx, marinaId);
  const byId = new Map(present.map((assignment) => [assignment.id, assignment]));
  const readings = outletUses.flatMap(({ outletId, by }): LeakageReading[] => {
    if (!index.outlets.has(outletId) || by.kind === 'outOfService') return [];
    const placeId = outletPlaceId(outletId);
    const unread = { placeId, leakageMa: null, takenAt: null, loadsOn: null };
    if (by.kind === 'holding') return [{ ...unread, boat: { kind: 'holding', id: by.id, label: by.label } }];
    const assignment = byId.get(by.id);
    if (assignment === undefined) return [];
    const { id, name } = assignment.stay.boat;
    const known = read.get(readingKey(by.id, outletId));
    return [{ ...unread, ...known, boat: { kind: 'boat', id, label: name } }];
  });
  const since = new Date(now - tripDays * 86_400_000);
  const tripRows = await tx.dockEvent.findMany({
    where: { marinaId, kind: 'trip', at: { gt: since } },
    select: { boatId: true, outletIds: true },
  });
  const boats = await tx.boat.findMany({
    where: { marinaId, id: { in: tripRows.flatMap(({ boatId }) => boatId ?? []) } },
    select: { id: true, name: true },
  });
  const names = new Map(boats.map(({ id, name }) => [id, name]));
  const trips = tripRows.flatMap(({ boatId, outletIds }) =>
    z
      .array(z.string())
      .parse(outletIds)
      .filter((id) => index.outlets.has(id))
      .map((id) => ({
        placeId: outletPlaceId(id),
        boat: boatId === null ? null : ({ kind: 'boat', id: boatId, label: names.get(boatId) ?? boatId } as const),
      })),
  );
  const sum = sumLeakage({ places: leakagePlaces(index), readings, trips });
  const seen = marinaLeakageSchema.shape;
  return {
    at: new Date(now).toISOString(),
    tripsSince: since.toISOString(),
    devices: seen.devices.parse(sum.devices.filter(({ boats: count, trips: of }) => count > 0 || of > 0)),
    boats: seen.boats.parse(sum.boats),
    findings: seen.findings.parse(sum.findings),
    cautions: [...electricalCautions],
  };
}
