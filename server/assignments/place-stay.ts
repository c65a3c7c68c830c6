import type { Period } from '../../core/periods.ts';
import { isOpen, type StayState } from '../../core/stays/lifecycle.ts';
import type { Assignment } from '../db/generated/client.ts';
import { Prisma } from '../db/generated/client.ts';
import { type Idempotency, marinaTransaction } from '../db/marina-transaction.ts';
import { plainJson } from '../db/plain-json.ts';
import { Problem } from '../errors.ts';
import type { Principal } from '../http/access.ts';
import { requireVersion, type VersionCondition } from '../http/version.ts';
import { localTime } from '../local-time.ts';
import { cutAssignments, leave } from '../occupancy/cut-assignments.ts';
import { rewriteDerivedUses } from '../occupancy/derived-uses.ts';
import type { Services } from '../services.ts';
import { requireStep } from '../stays/require-step.ts';
import { loadStay, type StoredStay } from '../stays/stored-stay.ts';
import { insertAssignment } from './insert-assignment.ts';
import { judgePlacement } from './judge-placement.ts';
import { type AssignmentDocument, assignmentDocument, type Placement } from './schema.ts';

export interface PlaceStay {
  readonly principal: Principal;
  readonly ifVersion: VersionCondition | null;
  readonly idempotency: Idempotency | null;
  readonly now: number;
  readonly stayId: string;
  readonly placement: Placement;
  /**
   * `assign` takes a time for which the stay has no place yet; `move` gives up what it has from then on; `offer` keeps the
   * berth until the boater answers, instead of what was offered before.
   */
  readonly kind: 'assign' | 'move' | 'offer';
  /** Until when an offer holds, epoch milliseconds; null: no offer. */
  readonly offerExpiresAt: number | null;
  /** Epoch milliseconds; null: see `startOf`. */
  readonly from: number | null;
}

/**
 * Places a stay on a berth until its departure. Everything is judged again inside the marina transaction; what refuses
 * it changes nothing.
 * @throws Problem `refused` with findings; `wrong-state`, `stale-version`, `not-found`, `invalid-input`
 */
export async function placeStay(services: Services, command: PlaceStay): Promise<AssignmentDocument> {
  const { principal, ifVersion, idempotency, now, stayId, placement, kind } = command;
  const { marinaId, id: actor } = principal;
  const options = { marinaId, actor, kind: changeKinds[kind], now, idempotency };
  return marinaTransaction(services.db, options, async ({ tx, recordChange }) => {
    const stay = await loadStay(tx, marinaId, stayId);
    if (stay === null) throw new Problem('not-found', `There is no stay "${stayId}".`);
    requireVersion(ifVersion, stay.row.version, `Stay ${stayId}`);
    const { index } = await services.inventories.inventoryOf(tx, marinaId);
    const state = requireStep(kind, stay, index.inventory, now);
    const period = periodToPlace(stay, startOf(stay, command), index.inventory.timeZone);
    const given = assignmentsFrom(stay, period.from);
    requireKind(kind, given);

    const judged = await judgePlacement(tx, services, principal, {
      boat: stay.boat,
      wishes: stay.wishes,
      groupId: stay.row.groupId,
      period,
      placement,
      withoutAssignmentIds: new Set(given.map(({ id }) => id)),
      now,
    });
    const cuts = given.map((assignment) => leave(index, assignment, period.from, placement.berthId));
    const freed = await cutAssignments(tx, marinaId, cuts);
    const placed = await insertAssignment(tx, marinaId, stayId, period, judged);
    await rewriteDerivedUses(tx, marinaId, {
      unitIds: [...freed.unitIds, ...(index.berths.get(placed.berthId)?.unitIds ?? [])],
      outletIds: [...freed.outletIds, ...judged.option.outletIds],
      since: period.from,
    });
    await tx.stay.update({
      where: { marinaId_id: { marinaId, id: stayId } },
      data: {
        // Moved before anybody promised it: whoever gives it a berth for good promises it.
        state: state === 'requested' ? 'promised' : state,
        offerExpiresAt: offerEnd(command, stay, state),
        ...(hasPlaceUntil(stay, period.from, now) ? { needsBerth: Prisma.DbNull } : {}),
        version: { increment: 1 },
      },
    });
    const answer = assignmentDocument(placed);
    await recordChange(plainJson({ stay: stay.row, assignments: given }), { assignment: answer });
    return answer;
  });
}

const changeKinds = { assign: 'stay.assigned', move: 'stay.moved', offer: 'stay.offered' } as const;

/** An offer that is moved holds as long as before. */
function offerEnd({ kind, offerExpiresAt }: PlaceStay, { row }: StoredStay, state: StayState): Date | null {
  if (state !== 'offered') return null;
  return kind === 'offer' && offerExpiresAt !== null ? new Date(offerExpiresAt) : row.offerExpiresAt;
}

/**
 * From when on a stay is placed: as asked; else from arrival, or, where an assignment leaves a rest without a berth
 * (something displaced the stay), from the beginning of that rest, and not in the past.
 */
export function startOf(
  { row, assignments }: Pick<StoredStay, 'row' | 'assignments'>,
  { kind, from, now }: Pick<PlaceStay, 'kind' | 'from' | 'now'>,
): number | null {
  if (from !== null) return from;
  // A boat that lies here moves now: where it lay until now stays on record.
  if (kind === 'offer') return null;
  if (kind === 'move') return row.state === 'arrived' ? Math.max(row.arrivalAt.getTime(), now) : null;
  if (assignments.length === 0) return null;
  const placedUntil = Math.max(...assignments.map(({ untilAt }) => untilAt.getTime()));
  return placedUntil < row.departureAt.getTime() ? Math.max(placedUntil, now) : null;
}

/** Whether a stay lacks no berth before `at`: what is past needs none any more. */
function hasPlaceUntil({ row, assignments }: StoredStay, at: number, now: number): boolean {
  if (at <= Math.max(row.arrivalAt.getTime(), now)) return true;
  return assignments.some(({ fromAt, untilAt }) => fromAt.getTime() < at && at <= untilAt.getTime());
}

/** The part of a stay that is to be placed: from arrival, or from a later moment, to departure. */
export function periodToPlace({ row }: Pick<StoredStay, 'row'>, from: number | null, timeZone: string): Period {
  if (!isOpen(row.state)) {
    throw new Problem('wrong-state', `The stay is ${row.state}. Only one that is to come or lies here can be placed.`);
  }
  const arrival = row.arrivalAt.getTime();
  const period = { from: Math.max(from ?? arrival, arrival), until: row.departureAt.getTime() };
  if (period.from < period.until) return period;
  throw new Problem('wrong-state', `The stay ends at ${localTime(period.until, timeZone)}. Choose a time before that.`);
}

/** Its assignments that last beyond a moment. */
export function assignmentsFrom({ assignments }: Pick<StoredStay, 'assignments'>, from: number): Assignment[] {
  return assignments.filter(({ untilAt }) => untilAt.getTime() > from);
}

function requireKind(kind: PlaceStay['kind'], given: readonly Assignment[]): void {
  if (kind === 'assign' && given.length > 0) {
    throw new Problem('wrong-state', 'The stay has a berth for that time. Move it, or release that berth first.');
  }
  if (kind === 'move' && given.length === 0) {
    throw new Problem('wrong-state', 'The stay has no berth from that time on. Assign it one.');
  }
}
