import type { OutletUse } from '../../core/berths/occupancy.ts';
import { noWishes, type OptionsQuestion, type Wishes } from '../../core/berths/options/options.ts';
import type { Boat } from '../../core/boats.ts';
import type { InventoryIndex } from '../../core/inventory/index-inventory.ts';
import type { Period } from '../../core/periods.ts';
import type { DemandPractice } from '../../core/standards/demand-practice.ts';
import { demandPractice } from '../../core/standards/demand-practices.ts';
import { leakageReadings, readingKey } from '../check-ins/leakage-readings.ts';
import type { Tx } from '../db/client.ts';
import { localDaysOf, localTime } from '../local-time.ts';
import { loadOccupancy } from '../occupancy/load.ts';
import { findOverstays, overstaysUntil, usesOfOverstays } from '../occupancy/overstays.ts';
import type { Services } from '../services.ts';

export interface AskedStay {
  readonly boat: Boat;
  readonly period: Period;
  readonly wishes?: Wishes;
  /** Assignments whose uses count as free: the stay's own, when it is placed anew. */
  readonly withoutAssignmentIds?: ReadonlySet<string>;
  /** The stay's group, whose block is open to it; null: none. */
  readonly groupId?: string | null;
  /** Boats that leave their place for this one, besides its own. */
  readonly leavingBoatIds?: ReadonlySet<string>;
  /** The time at which is asked, epoch milliseconds: who should have left by then may still be there. */
  readonly now: number;
}

/** For stays that begin later than this, a boat that should have left asks no question: somebody will have looked. */
const askAheadMs = 48 * 3_600_000;

/** Everything that core needs to judge the berths of a marina for one stay, read from the database. */
export async function loadQuestion(
  db: Tx,
  { inventories }: Pick<Services, 'inventories'>,
  marinaId: string,
  {
    boat,
    period,
    wishes = noWishes,
    withoutAssignmentIds = new Set(),
    leavingBoatIds = new Set(),
    groupId = null,
    now,
  }: AskedStay,
): Promise<{ readonly question: OptionsQuestion; readonly revision: number }> {
  const { index, revision } = await inventories.inventoryOf(db, marinaId);
  const { settings, timeZone } = index.inventory;
  const occupiedUntil = period.until + settings.turnoverMinutes * 60_000;
  const occupancy = await loadOccupancy(db, marinaId, { from: period.from, until: occupiedUntil });
  const isOthers = ({ by }: { readonly by: { readonly kind: string; readonly id: string } }) =>
    by.kind === 'assignment' ? !withoutAssignmentIds.has(by.id) : by.kind !== 'group' || by.id !== groupId;
  const spaceUses = occupancy.spaceUses.filter(isOthers);
  const outletUses = occupancy.outletUses.filter(isOthers);
  const overstays = (await findOverstays(db, marinaId, now)).filter(
    ({ boatId }) => boatId !== boat.id && !leavingBoatIds.has(boatId),
  );
  const overdue = usesOfOverstays(
    overstays,
    { spaceUses, outletUses },
    {
      period: { from: period.from, until: occupiedUntil },
      endOf: ({ departureAt }) => {
        const until = Math.max(overstaysUntil(index, now).until, now + askAheadMs, departureAt);
        return { until, keptUntil: until + occupiedUntil - period.until };
      },
      mayBeGone: ({ since }) => period.from > now || since > now,
    },
  );
  const question: OptionsQuestion = {
    index,
    practice: practiceOf(index),
    boat,
    period,
    occupiedUntil,
    sayTime: (at) => localTime(at, timeZone),
    localDays: localDaysOf(period, timeZone),
    wishes,
    spaceUses: [...spaceUses, ...overdue.spaceUses],
    outletUses: await withReadings(db, marinaId, [...outletUses, ...overdue.outletUses]),
    stockUses: occupancy.stockUses.filter(({ assignmentId }) => !withoutAssignmentIds.has(assignmentId)),
  };
  return { question, revision };
}

/** Uses with what the boats that are here were last read to leak; nothing is read where none of them is in the way. */
async function withReadings(db: Tx, marinaId: string, uses: readonly OutletUse[]): Promise<readonly OutletUse[]> {
  if (!uses.some(({ by }) => by.kind === 'assignment')) return uses;
  const readings = await leakageReadings(db, marinaId);
  if (readings.size === 0) return uses;
  return uses.map((use) => {
    const reading = use.by.kind === 'assignment' ? readings.get(readingKey(use.by.id, use.outletId)) : undefined;
    return reading === undefined ? use : { ...use, leakageMa: reading.leakageMa };
  });
}

/** The practice that the marina's settings name, built in or its own. */
export function practiceOf({ inventory }: InventoryIndex): DemandPractice {
  const { practiceId } = inventory.settings;
  const practice = demandPractice(practiceId) ?? inventory.practices.find(({ id }) => id === practiceId);
  if (practice === undefined) throw new Error(`practice "${practiceId}" is unknown: validate the inventory first`);
  return practice;
}
