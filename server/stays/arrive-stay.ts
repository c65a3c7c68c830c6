import { stretchAssignment } from '../assignments/stretch-assignment.ts';
import { keepOut } from '../check-ins/loans.ts';
import { type Idempotency, marinaTransaction } from '../db/marina-transaction.ts';
import { plainJson } from '../db/plain-json.ts';
import { Problem } from '../errors.ts';
import type { Principal } from '../http/access.ts';
import { requireVersion, type VersionCondition } from '../http/version.ts';
import { localTime } from '../local-time.ts';
import { invalid } from '../occupancy/berth-parts.ts';
import { rewriteDerivedUses } from '../occupancy/derived-uses.ts';
import { requireRecent } from '../occupancy/require-recent.ts';
import type { Services } from '../services.ts';
import { leaveBerth } from './leave-berth.ts';
import { requireStep } from './require-step.ts';
import { type StayDocument, stayDocument } from './schema.ts';
import { storeArrival } from './store-arrival.ts';
import { readStay } from './stored-stay.ts';

interface StayAt {
  readonly principal: Principal;
  readonly ifVersion: VersionCondition | null;
  readonly idempotency: Idempotency | null;
  readonly now: number;
  readonly stayId: string;
  /** When it came or left, epoch milliseconds; null: now. */
  readonly at: number | null;
}

/**
 * Records that a boat has come to the berth that it has. Before its time the berth is judged again from then on.
 * @throws Problem `refused` with findings, where its berth is not free yet (enter it where it lies); `wrong-state`,
 * `stale-version`, `not-found`, `invalid-input`
 */
export async function arriveStay(services: Services, command: StayAt): Promise<StayDocument> {
  const { principal, ifVersion, idempotency, now, stayId } = command;
  const { marinaId, id: actor } = principal;
  const options = { marinaId, actor, kind: 'stay.arrived', now, idempotency };
  return marinaTransaction(services.db, options, async ({ tx, recordChange }) => {
    const stay = await readStay(tx, marinaId, stayId);
    requireVersion(ifVersion, stay.row.version, `Stay ${stayId}`);
    const { index } = await services.inventories.inventoryOf(tx, marinaId);
    requireStep('arrive', stay, index.inventory, now);
    const at = momentOf(command);
    const assignment = stay.assignments.find(({ untilAt }) => at < untilAt.getTime());
    if (assignment === undefined) {
      throw new Problem(
        'wrong-state',
        'The stay has no berth at that time. Assign it one, or enter the boat where it was found.',
      );
    }
    if (at < assignment.fromAt.getTime()) {
      const period = { from: at, until: assignment.untilAt.getTime() };
      const touched = await stretchAssignment(tx, services, principal, {
        stay,
        assignment,
        period,
        now,
        overrides: [],
      });
      await rewriteDerivedUses(tx, marinaId, touched);
    }
    const row = await storeArrival(tx, stay.row, at);
    const after = stayDocument(row, stay.boat);
    // Before its time the berth may have become two assignments, with other outlets from now on.
    const { assignments } = await readStay(tx, marinaId, stayId);
    await recordChange(
      plainJson({ stay: stayDocument(stay.row, stay.boat), assignments: stay.assignments }),
      plainJson({ stay: after, assignments }),
    );
    return after;
  });
}

/**
 * Records that a boat has left: its berth is free after the turnover, its outlets at once. Adapters that were lent to it
 * stay written out until somebody takes them back.
 * @throws Problem `wrong-state`, `stale-version`, `not-found`, `invalid-input`
 */
export async function departStay(services: Services, command: StayAt): Promise<StayDocument> {
  const { principal, ifVersion, idempotency, now, stayId } = command;
  const { marinaId, id: actor } = principal;
  const options = { marinaId, actor, kind: 'stay.departed', now, idempotency };
  return marinaTransaction(services.db, options, async ({ tx, recordChange }) => {
    const stay = await readStay(tx, marinaId, stayId);
    requireVersion(ifVersion, stay.row.version, `Stay ${stayId}`);
    const { index } = await services.inventories.inventoryOf(tx, marinaId);
    requireStep('depart', stay, index.inventory, now);
    const at = momentOf(command);
    const arrivedAt = stay.row.arrivalAt.getTime();
    if (at <= arrivedAt) {
      throw invalid(
        '/at',
        `It arrived at ${localTime(arrivedAt, index.inventory.timeZone)}. Give a moment after that.`,
      );
    }
    const row = await leaveBerth(tx, index, stay, at);
    await keepOut(tx, marinaId, { stayId, assignments: stay.assignments, at });
    const after = stayDocument(row, stay.boat);
    await recordChange(
      plainJson({ stay: stayDocument(stay.row, stay.boat), assignments: stay.assignments }),
      plainJson({ stay: after }),
    );
    return after;
  });
}

const clockSlackMs = 5 * 60_000;

/** @throws Problem `invalid-input` for a moment that is still to come, or long past */
function momentOf({ at, now }: StayAt): number {
  if (at === null) return now;
  if (at > now + clockSlackMs) throw invalid('/at', 'It is still to come. Record it when it has happened.');
  requireRecent(at, now, '/at');
  return at;
}
