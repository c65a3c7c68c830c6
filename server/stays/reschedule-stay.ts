import type { Period } from '../../core/periods.ts';
import { type AssignmentDocument, assignmentDocument, type Placement } from '../assignments/schema.ts';
import { setPeriod } from '../assignments/set-period.ts';
import { stretchAssignment } from '../assignments/stretch-assignment.ts';
import { type Assignment, Prisma } from '../db/generated/client.ts';
import { type Idempotency, marinaTransaction } from '../db/marina-transaction.ts';
import { plainJson } from '../db/plain-json.ts';
import type { Principal } from '../http/access.ts';
import { requireVersion, type VersionCondition } from '../http/version.ts';
import { localTime } from '../local-time.ts';
import { invalid } from '../occupancy/berth-parts.ts';
import { cutAssignments } from '../occupancy/cut-assignments.ts';
import { rewriteDerivedUses } from '../occupancy/derived-uses.ts';
import type { Services } from '../services.ts';
import { requireStep } from './require-step.ts';
import { type StayDocument, stayDocument } from './schema.ts';
import { requireToCome, stayPeriod } from './stay-period.ts';
import { readStay, type StoredStay } from './stored-stay.ts';

export interface RescheduleStay {
  readonly principal: Principal;
  readonly ifVersion: VersionCondition | null;
  readonly idempotency: Idempotency | null;
  readonly now: number;
  readonly stayId: string;
  /** As said; null keeps it. */
  readonly arrival: string | null;
  readonly departure: string | null;
  readonly overrides: Placement['overrides'];
}

export interface Rescheduled {
  readonly stay: StayDocument;
  readonly assignments: readonly AssignmentDocument[];
}

/**
 * Extends, shortens or shifts a stay with its berth and outlets in one step. What it gains is judged again; what it gives
 * up is free at once. Refused, it changes nothing.
 * @throws Problem `refused` with findings; `wrong-state`, `stale-version`, `not-found`, `invalid-input`
 */
export async function rescheduleStay(services: Services, command: RescheduleStay): Promise<Rescheduled> {
  const { principal, ifVersion, idempotency, now, stayId, overrides } = command;
  const { marinaId, id: actor } = principal;
  const options = { marinaId, actor, kind: 'stay.rescheduled', now, idempotency };
  return marinaTransaction(services.db, options, async ({ tx, recordChange }) => {
    const stay = await readStay(tx, marinaId, stayId);
    requireVersion(ifVersion, stay.row.version, `Stay ${stayId}`);
    const { index } = await services.inventories.inventoryOf(tx, marinaId);
    requireStep('reschedule', stay, index.inventory, now);
    const period = newPeriod(stay, command, index.inventory);
    const turnoverMs = index.inventory.settings.turnoverMinutes * 60_000;

    const touched = { unitIds: [] as string[], outletIds: [] as string[], since: Number.POSITIVE_INFINITY };
    for (const { assignment, target } of targetsOf(stay, period)) {
      const { from, until } = periodOf(assignment);
      const change =
        target === null
          ? await cutAssignments(tx, marinaId, [{ assignmentId: assignment.id, at: from, occupiedUntil: from }])
          : target.from < from || target.until > until
            ? await stretchAssignment(tx, services, principal, { stay, assignment, period: target, now, overrides })
            : target.from === from && target.until === until
              ? null
              : await setPeriod(tx, assignment, { ...target, occupiedUntil: target.until + turnoverMs });
      if (change === null) continue;
      touched.unitIds.push(...change.unitIds);
      touched.outletIds.push(...change.outletIds);
      touched.since = Math.min(touched.since, change.since);
    }
    await rewriteDerivedUses(tx, marinaId, touched);

    const kept = await tx.assignment.findMany({
      where: { marinaId, stayId },
      orderBy: [{ fromAt: 'asc' }, { id: 'asc' }],
    });
    const row = await tx.stay.update({
      where: { marinaId_id: { marinaId, id: stayId } },
      data: {
        arrivalAt: new Date(period.from),
        departureAt: new Date(period.until),
        // A promise whose berth lies outside the new dates altogether is a request again.
        ...(kept.length === 0 && stay.row.state !== 'arrived' ? { state: 'requested', offerExpiresAt: null } : {}),
        ...(isServed(kept, period, now) ? { needsBerth: Prisma.DbNull } : {}),
        version: { increment: 1 },
      },
    });
    const answer = { stay: stayDocument(row, stay.boat), assignments: kept.map(assignmentDocument) };
    await recordChange(
      plainJson({ stay: stayDocument(stay.row, stay.boat), assignments: stay.assignments.map(assignmentDocument) }),
      answer,
    );
    return answer;
  });
}

/** @throws Problem `invalid-input` for dates that make no stay, or an arrival that is history */
export function newPeriod(
  { row }: Pick<StoredStay, 'row'>,
  { arrival, departure, now }: Pick<RescheduleStay, 'arrival' | 'departure' | 'now'>,
  clock: Parameters<typeof stayPeriod>[1],
): Period {
  const period = stayPeriod(
    { arrival: arrival ?? row.arrivalAt.toISOString(), departure: departure ?? row.departureAt.toISOString() },
    clock,
    now,
  );
  if (row.state === 'arrived' && period.from !== row.arrivalAt.getTime()) {
    throw invalid(
      '/arrival',
      `It arrived at ${localTime(row.arrivalAt.getTime(), clock.timeZone)}: that is history. Leave arrival out.`,
    );
  }
  requireToCome(period, clock, now);
  return period;
}

interface Target {
  readonly assignment: Assignment;
  /** Null: it lies outside the new dates. */
  readonly target: Period | null;
}

/** What each assignment is to cover: the first follows the arrival, the last the departure, where they reached so far. */
function targetsOf({ row, assignments }: StoredStay, { from, until }: Period): Target[] {
  const last = assignments.length - 1;
  return assignments.map((assignment, position): Target => {
    const own = periodOf(assignment);
    const begins = position === 0 && own.from === row.arrivalAt.getTime() ? from : Math.max(own.from, from);
    const ends = position === last && own.until === row.departureAt.getTime() ? until : Math.min(own.until, until);
    return { assignment, target: begins < ends ? { from: begins, until: ends } : null };
  });
}

function periodOf({ fromAt, untilAt }: Assignment): Period {
  return { from: fromAt.getTime(), until: untilAt.getTime() };
}

/** Whether it has a berth, and a hook-up that nothing has made void, for all that is still to come. */
function isServed(assignments: readonly Assignment[], { from, until }: Period, now: number): boolean {
  let servedUntil = Math.max(from, now);
  for (const assignment of assignments) {
    const own = periodOf(assignment);
    if (own.until <= servedUntil) continue;
    if (own.from > servedUntil || assignment.verdict === 'refused') return false;
    servedUntil = own.until;
  }
  return servedUntil >= until;
}
