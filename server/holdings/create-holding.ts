import { randomUUID } from 'node:crypto';
import type { InventoryIndex } from '../../core/inventory/index-inventory.ts';
import type { Tx } from '../db/client.ts';
import { type Idempotency, marinaTransaction } from '../db/marina-transaction.ts';
import type { Principal } from '../http/access.ts';
import { invalid, partsOfBerth, requireOutlets } from '../occupancy/berth-parts.ts';
import { rewriteDerivedUses } from '../occupancy/derived-uses.ts';
import { untilFromApi } from '../occupancy/open-period.ts';
import type { Services } from '../services.ts';
import { requireFree } from './require-free.ts';
import { type HoldingDocument, holdingDocument, type NewHolding, withAbsences } from './schema.ts';
import { touchedBy } from './stored-holding.ts';

interface CreateHolding {
  readonly principal: Principal;
  readonly idempotency: Idempotency | null;
  readonly now: number;
  readonly input: NewHolding;
}

/** Gives a berth to a holder. Throws a Problem: `invalid-input`, `double-use`. */
export async function createHolding(
  { db, inventories }: Services,
  { principal, idempotency, now, input }: CreateHolding,
): Promise<HoldingDocument> {
  const { marinaId, id: actor } = principal;
  const options = { marinaId, actor, kind: 'holding.created', now, idempotency };
  return marinaTransaction(db, options, async ({ tx, recordChange }) => {
    const { index } = await inventories.inventoryOf(tx, marinaId);
    const { parts, range } = partsOfBerth(index, input.berthId, input);
    const period = { from: Date.parse(input.from), until: untilFromApi(input.until) };
    requireOrder(period);
    await requireKnown(tx, marinaId, index, input);
    const holdingId = randomUUID();
    const claim = { ...period, parts, outletIds: input.outlets.map(({ outletId }) => outletId), absences: [] };
    await requireFree(tx, marinaId, index, { holdingId, claim, before: null, now });
    const row = await tx.holding.create({
      data: {
        marinaId,
        id: holdingId,
        berthId: input.berthId,
        faceFromM: range?.fromM ?? null,
        faceUntilM: range?.untilM ?? null,
        boatId: input.boatId,
        holderName: input.holderName,
        fromAt: new Date(period.from),
        untilAt: new Date(period.until),
        outlets: input.outlets,
      },
      include: withAbsences,
    });
    await rewriteDerivedUses(tx, marinaId, touchedBy([claim], period.from));
    const document = holdingDocument(row);
    await recordChange(null, document);
    return document;
  });
}

export function requireOrder({ from, until }: { from: number; until: number }): void {
  if (from >= until) throw invalid('/until', 'The period ends before it begins. Give an end after "from".');
}

/** Boat and outlets that a holding names must exist. */
export async function requireKnown(
  tx: Tx,
  marinaId: string,
  index: InventoryIndex,
  { boatId, outlets }: { boatId?: string | null; outlets?: readonly { outletId: string }[] },
): Promise<void> {
  requireOutlets(
    index,
    (outlets ?? []).map(({ outletId }) => outletId),
    (position) => `/outlets/${position}/outletId`,
  );
  if (boatId === null || boatId === undefined) return;
  const boat = await tx.boat.findUnique({ where: { marinaId_id: { marinaId, id: boatId } }, select: { id: true } });
  if (boat === null) throw invalid('/boatId', `There is no boat "${boatId}". Enter the boat first.`);
}
