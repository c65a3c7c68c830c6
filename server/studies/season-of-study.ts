import { Temporal } from 'temporal-polyfill';
import type { InventoryIndex } from '../../core/inventory/index-inventory.ts';
import type { Period } from '../../core/periods.ts';
import type { Tariff } from '../../core/upgrades/money/tariff.ts';
import type { SeasonOnMarina } from '../../core/upgrades/replay/replay.ts';
import type { ReplayRequest } from '../../core/upgrades/replay/request.ts';
import type { Closing } from '../../core/upgrades/studies/construction.ts';
import { practiceOf } from '../berth-options/question.ts';
import { boatOf } from '../boats/stored-boat.ts';
import type { Database } from '../db/client.ts';
import { localDayOf, localDaysOf } from '../local-time.ts';
import { loadOccupancy } from '../occupancy/load.ts';
import { storedWishes } from '../stays/stored-stay.ts';
import { tariffSchema } from './schema.ts';

export interface SeasonOfStudy {
  /** The season's own calls, the turned-away included. */
  readonly requests: readonly ReplayRequest[];
  readonly tariff: Tariff | null;
  /** Calls on an inventory, with what holders have, what is closed, and what is closed besides. */
  readonly on: (
    index: InventoryIndex,
    requests: readonly ReplayRequest[],
    closings?: readonly Closing[],
  ) => SeasonOnMarina;
}

/** A season as it was recorded, to be replayed on any inventory. */
export async function loadSeason(
  db: Database,
  marinaId: string,
  timeZone: string,
  season: Period,
): Promise<SeasonOfStudy> {
  const stays = await db.prisma.stay.findMany({
    where: {
      marinaId,
      arrivalAt: { gte: new Date(season.from), lt: new Date(season.until) },
      state: { not: 'cancelled' },
    },
    include: { boat: true },
    orderBy: { id: 'asc' },
    take: 20_000,
  });
  const requests = stays.map((stay): ReplayRequest => {
    const period = { from: stay.arrivalAt.getTime(), until: stay.departureAt.getTime() };
    return {
      id: stay.id,
      boat: boatOf(stay.boat),
      bookedAt: stay.createdAt.getTime(),
      period,
      localDays: localDaysOf(period, timeZone),
      nights: nightsOf(period, timeZone),
      wishes: storedWishes.parse(stay.wishes),
      energyKwh: null,
    };
  });
  const { spaceUses, outletUses } = await loadOccupancy(db.prisma, marinaId, season);
  const isFixed = ({ by }: { readonly by: { readonly kind: string } }) =>
    by.kind === 'holding' || by.kind === 'outOfService';
  const stored = await db.prisma.tariff.findUnique({ where: { marinaId } });
  const tariff = stored === null ? null : tariffSchema.parse(stored.document);
  return {
    requests,
    tariff,
    on: (index, of, closings = []) => ({
      index,
      practice: practiceOf(index),
      season,
      requests: of,
      spaceUses: [
        ...spaceUses.filter((use) => isFixed(use) && index.spaceUnits.has(use.unitId)),
        ...closings.flatMap((closing) =>
          closing.unitIds.map((unitId) => ({ ...usedBy(closing), unitId, fromM: 0, untilM: lengthOf(index, unitId) })),
        ),
      ],
      outletUses: [
        ...outletUses.filter((use) => isFixed(use) && index.outlets.has(use.outletId)),
        ...closings.flatMap((closing) =>
          closing.outletIds.map((outletId) => ({ ...usedBy(closing), outletId, statedVa: null })),
        ),
      ],
      tariff,
    }),
  };
}

function usedBy({ changeId, from, until }: Closing) {
  return { from, until, by: { kind: 'outOfService' as const, id: `construction ${changeId}`, label: changeId } };
}

/** A face is taken by metres, every other unit whole. */
function lengthOf(index: InventoryIndex, unitId: string): number {
  const unit = index.spaceUnits.get(unitId);
  return unit?.faceLengthM ?? 1;
}

function nightsOf({ from, until }: Period, timeZone: string): string[] {
  const last = localDayOf(until, timeZone);
  const nights: string[] = [];
  for (
    let day = Temporal.PlainDate.from(localDayOf(from, timeZone));
    day.toString() < last;
    day = day.add({ days: 1 })
  ) {
    nights.push(day.toString());
  }
  return nights;
}
