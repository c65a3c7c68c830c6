import { marinaTransaction } from '../db/marina-transaction.ts';
import { Problem } from '../errors.ts';
import type { Principal } from '../http/access.ts';
import { requireVersion, type VersionCondition } from '../http/version.ts';
import type { Services } from '../services.ts';
import { requireStep } from './require-step.ts';
import { requireWishes } from './require-wishes.ts';
import { type StayChange, type StayDocument, stayDocument } from './schema.ts';
import { requireToCome, stayPeriod } from './stay-period.ts';
import { readStay, type StoredStay } from './stored-stay.ts';

interface ChangeStay {
  readonly principal: Principal;
  readonly ifVersion: VersionCondition | null;
  readonly now: number;
  readonly stayId: string;
  readonly change: StayChange;
}

/**
 * Changes contact, wishes, note, or, while it has no berth, the dates. Throws a Problem: `not-found`, `stale-version`,
 * `wrong-state`, `invalid-input`.
 */
export async function changeStay(
  { db, inventories }: Services,
  { principal, ifVersion, now, stayId, change }: ChangeStay,
): Promise<StayDocument> {
  const { marinaId, id: actor } = principal;
  return marinaTransaction(db, { marinaId, actor, kind: 'stay.changed', now }, async ({ tx, recordChange }) => {
    const stay = await readStay(tx, marinaId, stayId);
    requireVersion(ifVersion, stay.row.version, `Stay ${stayId}`);
    const { index } = await inventories.inventoryOf(tx, marinaId);
    const { name, phone, arrival, departure, wishes, note, priority } = change;
    if (wishes !== undefined) requireWishes(wishes, index);
    const changesDates = arrival !== undefined || departure !== undefined;
    if (changesDates) {
      requireStep('reschedule', stay, index.inventory, now);
      requireNoBerth(stay);
    }
    const { from, until } = changesDates
      ? stayPeriod(
          {
            arrival: arrival ?? stay.row.arrivalAt.toISOString(),
            departure: departure ?? stay.row.departureAt.toISOString(),
          },
          index.inventory,
          now,
        )
      : { from: stay.row.arrivalAt.getTime(), until: stay.row.departureAt.getTime() };
    if (changesDates) requireToCome({ from, until }, index.inventory, now);
    const row = await tx.stay.update({
      where: { marinaId_id: { marinaId, id: stayId } },
      data: {
        arrivalAt: new Date(from),
        departureAt: new Date(until),
        version: { increment: 1 },
        ...(name === undefined ? {} : { contactName: name }),
        ...(phone === undefined ? {} : { contactPhone: phone }),
        ...(wishes === undefined ? {} : { wishes }),
        ...(note === undefined ? {} : { note }),
        ...(priority === undefined ? {} : { priority }),
      },
    });
    const after = stayDocument(row, stay.boat);
    await recordChange(stayDocument(stay.row, stay.boat), after);
    return after;
  });
}

function requireNoBerth({ assignments }: StoredStay): void {
  if (assignments.length > 0) {
    throw new Problem('wrong-state', 'The stay has a berth for its dates. Reschedule it: that judges the berth again.');
  }
}
