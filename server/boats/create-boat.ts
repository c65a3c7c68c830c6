import { randomUUID } from 'node:crypto';
import { type Idempotency, marinaTransaction } from '../db/marina-transaction.ts';
import { plainJson } from '../db/plain-json.ts';
import type { Principal } from '../http/access.ts';
import type { Services } from '../services.ts';
import { requireAgreement, requireKnown } from './require-sound.ts';
import { type BoatDocument, boatDocument, factsFromApi, type NewBoat } from './schema.ts';

interface CreateBoat {
  readonly principal: Principal;
  readonly idempotency: Idempotency | null;
  readonly now: number;
  readonly input: NewBoat;
}

/** Enters a boat. Throws a Problem: `invalid-input`. */
export async function createBoat(
  { db, inventories }: Services,
  { principal, idempotency, now, input }: CreateBoat,
): Promise<BoatDocument> {
  const { marinaId, id: actor } = principal;
  const options = { marinaId, actor, kind: 'boat.created', now, idempotency };
  return marinaTransaction(db, options, async ({ tx, recordChange }) => {
    const { index } = await inventories.inventoryOf(tx, marinaId);
    const { name, ...said } = input;
    requireKnown(said, index.inventory);
    requireAgreement(said);
    const facts = plainJson(factsFromApi(said, now));
    const row = await tx.boat.create({ data: { marinaId, id: randomUUID(), name, facts, createdAt: new Date(now) } });
    const document = boatDocument(row);
    await recordChange(null, document);
    return document;
  });
}
