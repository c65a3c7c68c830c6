import { type Idempotency, marinaTransaction } from '../db/marina-transaction.ts';
import type { Principal } from '../http/access.ts';
import { requireVersion, type VersionCondition } from '../http/version.ts';
import type { Services } from '../services.ts';
import { requireStep } from './require-step.ts';
import { type StayDocument, stayDocument } from './schema.ts';
import { readStay } from './stored-stay.ts';

interface PromiseStay {
  readonly principal: Principal;
  readonly ifVersion: VersionCondition | null;
  readonly idempotency: Idempotency | null;
  readonly now: number;
  readonly stayId: string;
}

/** Makes an offer that was accepted a promise. Throws a Problem: `not-found`, `stale-version`, `wrong-state`. */
export async function promiseStay(
  { db, inventories }: Services,
  { principal, ifVersion, idempotency, now, stayId }: PromiseStay,
): Promise<StayDocument> {
  const { marinaId, id: actor } = principal;
  const options = { marinaId, actor, kind: 'stay.promised', now, idempotency };
  return marinaTransaction(db, options, async ({ tx, recordChange }) => {
    const stay = await readStay(tx, marinaId, stayId);
    requireVersion(ifVersion, stay.row.version, `Stay ${stayId}`);
    const { index } = await inventories.inventoryOf(tx, marinaId);
    const state = requireStep('promise', stay, index.inventory, now);
    const row = await tx.stay.update({
      where: { marinaId_id: { marinaId, id: stayId } },
      data: { state, offerExpiresAt: null, version: { increment: 1 } },
    });
    const after = stayDocument(row, stay.boat);
    await recordChange({ stay: stayDocument(stay.row, stay.boat) }, { stay: after });
    return after;
  });
}
