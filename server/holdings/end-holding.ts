import { marinaTransaction } from '../db/marina-transaction.ts';
import { Problem } from '../errors.ts';
import type { Principal } from '../http/access.ts';
import { requireVersion, type VersionCondition } from '../http/version.ts';
import { localTime } from '../local-time.ts';
import { invalid } from '../occupancy/berth-parts.ts';
import { rewriteDerivedUses } from '../occupancy/derived-uses.ts';
import { untilToApi } from '../occupancy/open-period.ts';
import type { Services } from '../services.ts';
import { type HoldingDocument, holdingDocument, withAbsences } from './schema.ts';
import { claimOf, readHolding, touchedBy } from './stored-holding.ts';

interface HoldingCommand<Input> {
  readonly principal: Principal;
  readonly now: number;
  readonly input: Input & { readonly holdingId: string };
}

/**
 * Ends a holding early; absences end with it. Transients who have the berth in an absence keep it. Throws a Problem:
 * `not-found`, `stale-version`, `invalid-input`.
 */
export async function endHolding(
  { db, inventories }: Services,
  {
    principal,
    ifVersion,
    now,
    input,
  }: HoldingCommand<{ readonly at: string }> & { readonly ifVersion: VersionCondition | null },
): Promise<HoldingDocument> {
  const { marinaId, id: actor } = principal;
  const { holdingId } = input;
  return marinaTransaction(db, { marinaId, actor, kind: 'holding.ended', now }, async ({ tx, recordChange }) => {
    const stored = await readHolding(tx, marinaId, holdingId);
    requireVersion(ifVersion, stored.version, `The holding of ${stored.holderName}`);
    const at = new Date(input.at);
    if (at <= stored.fromAt || stored.untilAt < at) {
      const { index } = await inventories.inventoryOf(tx, marinaId);
      const { timeZone } = index.inventory;
      const from = localTime(stored.fromAt.getTime(), timeZone);
      const until =
        untilToApi(stored.untilAt) === null ? 'further notice' : localTime(stored.untilAt.getTime(), timeZone);
      throw invalid(
        '/at',
        `The holding runs from ${from} until ${until}. End it after it begins, or delete it before.`,
      );
    }
    await tx.absence.deleteMany({ where: { marinaId, holdingId, fromAt: { gte: at } } });
    await tx.absence.updateMany({ where: { marinaId, holdingId, untilAt: { gt: at } }, data: { untilAt: at } });
    const row = await tx.holding.update({
      where: { marinaId_id: { marinaId, id: holdingId } },
      data: { untilAt: at, version: { increment: 1 } },
      include: withAbsences,
    });
    await rewriteDerivedUses(tx, marinaId, touchedBy([await claimOf(tx, row)], at.getTime()));
    const document = holdingDocument(row);
    await recordChange(holdingDocument(stored), document);
    return document;
  });
}

/** Takes back a holding that has not begun. Throws a Problem: `not-found`, `wrong-state`. */
export async function withdrawHolding(
  { db }: Services,
  { principal, now, input }: HoldingCommand<unknown>,
): Promise<void> {
  const { marinaId, id: actor } = principal;
  const { holdingId } = input;
  await marinaTransaction(db, { marinaId, actor, kind: 'holding.withdrawn', now }, async ({ tx, recordChange }) => {
    const stored = await readHolding(tx, marinaId, holdingId);
    if (stored.fromAt.getTime() <= now) {
      throw new Problem('wrong-state', `The holding of ${stored.holderName} has begun. End it instead.`);
    }
    const claim = await claimOf(tx, stored);
    await tx.spaceUse.deleteMany({ where: { marinaId, holdingId } });
    await tx.outletUse.deleteMany({ where: { marinaId, holdingId } });
    await tx.absence.deleteMany({ where: { marinaId, holdingId } });
    await tx.holding.delete({ where: { marinaId_id: { marinaId, id: holdingId } } });
    await rewriteDerivedUses(tx, marinaId, touchedBy([claim], claim.from));
    await recordChange(holdingDocument(stored), null);
  });
}
