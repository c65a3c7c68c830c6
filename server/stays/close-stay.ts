import { Prisma } from '../db/generated/client.ts';
import { type Idempotency, type MarinaTransactionOptions, marinaTransaction } from '../db/marina-transaction.ts';
import { plainJson } from '../db/plain-json.ts';
import type { Principal } from '../http/access.ts';
import { requireVersion, type VersionCondition } from '../http/version.ts';
import { cutAssignments } from '../occupancy/cut-assignments.ts';
import { rewriteDerivedUses } from '../occupancy/derived-uses.ts';
import type { Services } from '../services.ts';
import { requireStep } from './require-step.ts';
import { type Reasons, type StayDocument, stayDocument } from './schema.ts';
import { readStay } from './stored-stay.ts';

interface CloseStay {
  readonly principal: Principal;
  readonly ifVersion: VersionCondition | null;
  readonly idempotency: Idempotency | null;
  readonly now: number;
  readonly stayId: string;
}

const ends = {
  cancel: 'stay.cancelled',
  noShow: 'stay.noShow',
} as const;

/**
 * Ends a stay whose boat has not come, as cancelled or as a no-show; its berth, outlets and adapters are free from then
 * on. Throws a Problem: `not-found`, `stale-version`, `wrong-state`.
 */
export async function endStay(
  { db, inventories }: Services,
  command: CloseStay & { readonly as: keyof typeof ends },
): Promise<StayDocument> {
  const { principal, ifVersion, now, stayId, as } = command;
  const { marinaId } = principal;
  return marinaTransaction(db, optionsOf(command, ends[as]), async ({ tx, recordChange }) => {
    const stay = await readStay(tx, marinaId, stayId);
    requireVersion(ifVersion, stay.row.version, `Stay ${stayId}`);
    const { index } = await inventories.inventoryOf(tx, marinaId);
    const state = requireStep(as, stay, index.inventory, now);
    const cuts = stay.assignments.map(({ id, fromAt }) => ({
      assignmentId: id,
      at: fromAt.getTime(),
      occupiedUntil: fromAt.getTime(),
    }));
    await rewriteDerivedUses(tx, marinaId, await cutAssignments(tx, marinaId, cuts));
    const row = await tx.stay.update({
      where: { marinaId_id: { marinaId, id: stayId } },
      data: { state, needsBerth: Prisma.DbNull, offerExpiresAt: null, version: { increment: 1 } },
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
  { db, inventories }: Services,
  command: CloseStay & { readonly reasons: Reasons },
): Promise<StayDocument> {
  const { principal, ifVersion, now, stayId, reasons } = command;
  const { marinaId } = principal;
  return marinaTransaction(db, optionsOf(command, 'stay.turnedAway'), async ({ tx, recordChange }) => {
    const stay = await readStay(tx, marinaId, stayId);
    requireVersion(ifVersion, stay.row.version, `Stay ${stayId}`);
    const { index } = await inventories.inventoryOf(tx, marinaId);
    const state = requireStep('turnAway', stay, index.inventory, now);
    const row = await tx.stay.update({
      where: { marinaId_id: { marinaId, id: stayId } },
      data: {
        state,
        offerExpiresAt: null,
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
