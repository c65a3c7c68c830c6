import type { Tx } from '../db/client.ts';
import { type Idempotency, marinaTransaction } from '../db/marina-transaction.ts';
import { plainJson } from '../db/plain-json.ts';
import { Problem } from '../errors.ts';
import type { Principal } from '../http/access.ts';
import { requireVersion, type VersionCondition } from '../http/version.ts';
import { localTime } from '../local-time.ts';
import { invalid } from '../occupancy/berth-parts.ts';
import { cutAssignments } from '../occupancy/cut-assignments.ts';
import { rewriteDerivedUses } from '../occupancy/derived-uses.ts';
import type { Services } from '../services.ts';
import { type AssignmentDocument, assignmentDocument } from './schema.ts';

const dayMs = 86_400_000;

export interface ReleaseAssignment {
  readonly principal: Principal;
  readonly ifVersion: VersionCondition | null;
  readonly idempotency: Idempotency | null;
  readonly now: number;
  readonly assignmentId: string;
  /** From when the berth is free again; null: from now, or all of it where it has not begun. */
  readonly at: number | null;
}

/**
 * Gives up an assignment from a moment on: its space (after the turnover, where a boat lay there), outlets and adapters.
 * What was before stays on record. Answers the assignment as it is since, or null where nothing of it is left.
 * @throws Problem `wrong-state` where it has ended already; `invalid-input` for a moment long before it; `stale-version`,
 * `not-found`
 */
export async function releaseAssignment(
  services: Services,
  { principal, ifVersion, idempotency, now, assignmentId, at }: ReleaseAssignment,
): Promise<AssignmentDocument | null> {
  const { marinaId, id: actor } = principal;
  return marinaTransaction(
    services.db,
    { marinaId, actor, kind: 'assignment.released', now, idempotency },
    async ({ tx, recordChange }) => {
      const where = { marinaId_id: { marinaId, id: assignmentId } };
      const before = await tx.assignment.findUnique({ where });
      if (before === null) throw new Problem('not-found', `There is no assignment "${assignmentId}".`);
      requireVersion(ifVersion, before.version, `Assignment ${assignmentId}`);
      const from = before.fromAt.getTime();
      const { index } = await services.inventories.inventoryOf(tx, marinaId);
      const { timeZone, settings } = index.inventory;
      if (at !== null && at < Math.min(from, now - dayMs)) {
        throw invalid(
          '/at',
          `It lies before the assignment, which begins at ${localTime(from, timeZone)}. Give a moment from then on, or null.`,
        );
      }
      const end = Math.max(from, at ?? now);
      if (end >= before.untilAt.getTime()) {
        throw new Problem(
          'wrong-state',
          `The assignment ends at ${localTime(before.untilAt.getTime(), timeZone)} as it is.`,
        );
      }
      const turnoverMs = end === from ? 0 : settings.turnoverMinutes * 60_000;
      const cut = { assignmentId, at: end, occupiedUntil: end + turnoverMs };
      await rewriteDerivedUses(tx, marinaId, await cutAssignments(tx, marinaId, [cut]));
      await backToRequested(tx, marinaId, before.stayId);
      const after = await tx.assignment.findUnique({ where });
      const answer = after === null ? null : assignmentDocument(after);
      await recordChange(plainJson(before), answer);
      return answer;
    },
  );
}

/** A promise without any berth left is a request again; a boat that has arrived stays so. */
async function backToRequested(tx: Tx, marinaId: string, stayId: string): Promise<void> {
  await tx.stay.updateMany({
    where: { marinaId, id: stayId, state: { in: ['offered', 'promised'] }, assignments: { none: {} } },
    data: { state: 'requested', offerExpiresAt: null, version: { increment: 1 } },
  });
}
