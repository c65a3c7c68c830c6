import { Prisma } from '../db/generated/client.ts';
import { type Idempotency, type MarinaTransactionOptions, marinaTransaction } from '../db/marina-transaction.ts';
import { plainJson } from '../db/plain-json.ts';
import { Problem } from '../errors.ts';
import type { Principal } from '../http/access.ts';
import { requireVersion, type VersionCondition } from '../http/version.ts';
import { cutAssignments } from '../occupancy/cut-assignments.ts';
import { rewriteDerivedUses } from '../occupancy/derived-uses.ts';
import type { Services } from '../services.ts';
import { type Reasons, type StayDocument, stayDocument } from './schema.ts';
import { readStay } from './stored-stay.ts';

interface CloseStay {
  readonly principal: Principal;
  readonly ifVersion: VersionCondition | null;
  readonly idempotency: Idempotency | null;
  readonly now: number;
  readonly stayId: string;
}

/**
 * Cancels a stay that has not arrived; its berth, outlets and adapters are free from then on. Throws a Problem:
 * `not-found`, `stale-version`, `wrong-state`.
 */
export async function cancelStay({ db }: Services, command: CloseStay): Promise<StayDocument> {
  const { principal, ifVersion, stayId } = command;
  const { marinaId } = principal;
  return marinaTransaction(db, optionsOf(command, 'stay.cancelled'), async ({ tx, recordChange }) => {
    const stay = await readStay(tx, marinaId, stayId);
    requireVersion(ifVersion, stay.row.version, `Stay ${stayId}`);
    if (!['requested', 'offered', 'promised'].includes(stay.row.state)) {
      throw new Problem('wrong-state', `The stay is ${stay.row.state}. Only one that is still to come is cancelled.`);
    }
    const cuts = stay.assignments.map(({ id, fromAt }) => ({
      assignmentId: id,
      at: fromAt.getTime(),
      occupiedUntil: fromAt.getTime(),
    }));
    await rewriteDerivedUses(tx, marinaId, await cutAssignments(tx, marinaId, cuts));
    const row = await tx.stay.update({
      where: { marinaId_id: { marinaId, id: stayId } },
      data: { state: 'cancelled', needsBerth: Prisma.DbNull, version: { increment: 1 } },
    });
    const after = stayDocument(row, stay.boat);
    await recordChange(
      plainJson({ stay: stayDocument(stay.row, stay.boat), assignments: stay.assignments }),
      plainJson({ stay: after, assignments: [] }),
    );
    return after;
  });
}

/** Turns a request away, with the reasons. Throws a Problem: `not-found`, `stale-version`, `wrong-state`. */
export async function turnAwayStay(
  { db }: Services,
  command: CloseStay & { readonly reasons: Reasons },
): Promise<StayDocument> {
  const { principal, ifVersion, stayId, reasons } = command;
  const { marinaId } = principal;
  return marinaTransaction(db, optionsOf(command, 'stay.turnedAway'), async ({ tx, recordChange }) => {
    const stay = await readStay(tx, marinaId, stayId);
    requireVersion(ifVersion, stay.row.version, `Stay ${stayId}`);
    if (!['requested', 'offered', 'promised'].includes(stay.row.state)) {
      throw new Problem('wrong-state', `The stay is ${stay.row.state}. Only a request is turned away.`);
    }
    if (stay.assignments.length > 0) {
      throw new Problem('wrong-state', 'The stay has a berth. Release that first, or cancel the stay.');
    }
    const row = await tx.stay.update({
      where: { marinaId_id: { marinaId, id: stayId } },
      data: {
        state: 'turnedAway',
        turnedAwayReasons: reasons,
        needsBerth: Prisma.DbNull,
        version: { increment: 1 },
      },
    });
    const after = stayDocument(row, stay.boat);
    await recordChange(stayDocument(stay.row, stay.boat), after);
    return after;
  });
}

function optionsOf({ principal, now, idempotency }: CloseStay, kind: string): MarinaTransactionOptions {
  return { marinaId: principal.marinaId, actor: principal.id, kind, now, idempotency };
}
