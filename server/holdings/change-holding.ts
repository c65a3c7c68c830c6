import { marinaTransaction } from '../db/marina-transaction.ts';
import { Problem } from '../errors.ts';
import type { Principal } from '../http/access.ts';
import { requireVersion, type VersionCondition } from '../http/version.ts';
import { localTime } from '../local-time.ts';
import { rewriteDerivedUses } from '../occupancy/derived-uses.ts';
import { untilFromApi } from '../occupancy/open-period.ts';
import type { Services } from '../services.ts';
import { requireKnown, requireOrder } from './create-holding.ts';
import { requireFree } from './require-free.ts';
import { type HoldingChange, type HoldingDocument, holdingDocument, withAbsences } from './schema.ts';
import { claimOf, readHolding, touchedBy } from './stored-holding.ts';

interface ChangeHolding {
  readonly principal: Principal;
  readonly ifVersion: VersionCondition | null;
  readonly now: number;
  readonly input: { readonly holdingId: string; readonly change: HoldingChange };
}

/**
 * Changes dates, holder, boat or outlets of a holding. Throws a Problem: `not-found`, `stale-version`, `invalid-input`,
 * `wrong-state` (an absence would lie outside), `double-use`.
 */
export async function changeHolding(
  { db, inventories }: Services,
  { principal, ifVersion, now, input }: ChangeHolding,
): Promise<HoldingDocument> {
  const { marinaId, id: actor } = principal;
  const { holdingId, change } = input;
  return marinaTransaction(db, { marinaId, actor, kind: 'holding.changed', now }, async ({ tx, recordChange }) => {
    const stored = await readHolding(tx, marinaId, holdingId);
    requireVersion(ifVersion, stored.version, `The holding of ${stored.holderName}`);
    const { index } = await inventories.inventoryOf(tx, marinaId);
    await requireKnown(tx, marinaId, index, change);
    const before = await claimOf(tx, stored);
    const claim = {
      ...before,
      from: change.from === undefined ? before.from : Date.parse(change.from),
      until: change.until === undefined ? before.until : untilFromApi(change.until),
      outletIds: change.outlets?.map(({ outletId }) => outletId) ?? before.outletIds,
    };
    requireOrder(claim);
    const outside = stored.absences.find(
      ({ fromAt, untilAt }) => fromAt.getTime() < claim.from || claim.until < untilAt.getTime(),
    );
    if (outside !== undefined) {
      const { timeZone } = index.inventory;
      const from = localTime(outside.fromAt.getTime(), timeZone);
      const until = localTime(outside.untilAt.getTime(), timeZone);
      throw new Problem(
        'wrong-state',
        `The absence from ${from} until ${until} would lie outside the holding. Withdraw it first, or end the holding instead.`,
      );
    }
    await requireFree(tx, marinaId, index, { holdingId, claim, before, now });
    const row = await tx.holding.update({
      where: { marinaId_id: { marinaId, id: holdingId } },
      data: {
        fromAt: new Date(claim.from),
        untilAt: new Date(claim.until),
        version: { increment: 1 },
        ...(change.boatId === undefined ? {} : { boatId: change.boatId }),
        ...(change.holderName === undefined ? {} : { holderName: change.holderName }),
        ...(change.outlets === undefined ? {} : { outlets: change.outlets }),
      },
      include: withAbsences,
    });
    await rewriteDerivedUses(tx, marinaId, touchedBy([before, claim], Math.min(before.from, claim.from)));
    const document = holdingDocument(row);
    await recordChange(holdingDocument(stored), document);
    return document;
  });
}
