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
import type { Services } from '../services.ts';

export interface AskedStay {
  readonly boat: Boat;
  readonly period: Period;
  readonly wishes?: Wishes;
  /** Assignments whose uses count as free: the stay's own, when it is placed anew. */
  readonly withoutAssignmentIds?: ReadonlySet<string>;
  /** The stay's group, whose block is open to it; null: none. */
  readonly groupId?: string | null;
}

/** Everything that core needs to judge the berths of a marina for one stay, read from the database. */
export async function loadQuestion(
  db: Tx,
  { inventories }: Pick<Services, 'inventories'>,
  marinaId: string,
  { boat, period, wishes = noWishes, withoutAssignmentIds = new Set(), groupId = null }: AskedStay,
): Promise<{ readonly question: OptionsQuestion; readonly revision: number }> {
  const { index, revision } = await inventories.inventoryOf(db, marinaId);
  const { settings, timeZone } = index.inventory;
  const occupiedUntil = period.until + settings.turnoverMinutes * 60_000;
  const occupancy = await loadOccupancy(db, marinaId, { from: period.from, until: occupiedUntil });
  const isOthers = ({ by }: { readonly by: { readonly kind: string; readonly id: string } }) =>
    by.kind === 'assignment' ? !withoutAssignmentIds.has(by.id) : by.kind !== 'group' || by.id !== groupId;
  const question: OptionsQuestion = {
    index,
    practice: practiceOf(index),
    boat,
    period,
    occupiedUntil,
    sayTime: (at) => localTime(at, timeZone),
    localDays: localDaysOf(period, timeZone),
    wishes,
    spaceUses: occupancy.spaceUses.filter(isOthers),
    outletUses: await withReadings(db, marinaId, occupancy.outletUses.filter(isOthers)),
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
