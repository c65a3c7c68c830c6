import { randomUUID } from 'node:crypto';
import { releasedPeriods } from '../../core/berths/claims.ts';
import { contains, overlaps } from '../../core/periods.ts';
import { type Idempotency, marinaTransaction } from '../db/marina-transaction.ts';
import { Problem } from '../errors.ts';
import type { Principal } from '../http/access.ts';
import { localTime } from '../local-time.ts';
import { invalid } from '../occupancy/berth-parts.ts';
import { rewriteDerivedUses } from '../occupancy/derived-uses.ts';
import { findInTheWay } from '../occupancy/displace.ts';
import type { Services } from '../services.ts';
import { requireOrder } from './create-holding.ts';
import { type AbsenceDocument, absenceDocument, type StoredHolding } from './schema.ts';
import { claimOf, outletsOf, readHolding, spacesOf, touchedBy } from './stored-holding.ts';

interface AbsenceCommand<Input> {
  readonly principal: Principal;
  readonly now: number;
  readonly input: Input & { readonly holdingId: string };
}

/**
 * Releases a held berth for a period. Throws a Problem: `not-found`, `invalid-input` (outside the holding),
 * `wrong-state` (released already).
 */
export async function releaseAbsence(
  { db, inventories }: Services,
  {
    principal,
    now,
    idempotency,
    input,
  }: AbsenceCommand<{ readonly from: string; readonly until: string }> & { readonly idempotency: Idempotency | null },
): Promise<AbsenceDocument> {
  const { marinaId, id: actor } = principal;
  const { holdingId } = input;
  const options = { marinaId, actor, kind: 'absence.released', now, idempotency };
  return marinaTransaction(db, options, async ({ tx, recordChange }) => {
    const claim = await claimOf(tx, await readHolding(tx, marinaId, holdingId));
    const { index } = await inventories.inventoryOf(tx, marinaId);
    const said = (at: number) => localTime(at, index.inventory.timeZone);
    const period = { from: Date.parse(input.from), until: Date.parse(input.until) };
    requireOrder(period);
    if (!contains(claim, period)) {
      throw invalid('/from', `The absence leaves the holding, which begins ${said(claim.from)}. Keep it inside.`);
    }
    const other = releasedPeriods(claim.absences).find((released) => overlaps(released, period));
    if (other !== undefined) {
      const released = `from ${said(other.from)} until ${said(other.until)}`;
      throw new Problem('wrong-state', `The berth is released ${released} already. Release another period.`);
    }
    const row = await tx.absence.create({
      data: { marinaId, id: randomUUID(), holdingId, fromAt: new Date(period.from), untilAt: new Date(period.until) },
    });
    await rewriteDerivedUses(tx, marinaId, touchedBy([claim], period.from));
    const document = absenceDocument(row);
    await recordChange(null, { holdingId, ...document });
    return document;
  });
}

/** Takes back an absence that nobody uses yet. Throws a Problem: `not-found`, `in-use` (recall it instead). */
export async function withdrawAbsence(
  { db }: Services,
  { principal, now, input }: AbsenceCommand<{ readonly absenceId: string }>,
): Promise<void> {
  const { marinaId, id: actor } = principal;
  const { holdingId, absenceId } = input;
  await marinaTransaction(db, { marinaId, actor, kind: 'absence.withdrawn', now }, async ({ tx, recordChange }) => {
    const holding = await readHolding(tx, marinaId, holdingId);
    const stored = absenceOf(holding, absenceId);
    const claim = await claimOf(tx, holding);
    const { from, until } = document(stored);
    const [released] = releasedPeriods([{ from, until, recalledFrom: stored.recalledFromAt?.getTime() ?? null }]);
    const periods = released === undefined ? [] : [released];
    const uses = await findInTheWay(tx, marinaId, {
      spaces: spacesOf(claim, periods),
      outlets: outletsOf(claim, periods),
    });
    const [use] = uses;
    if (use !== undefined) {
      throw new Problem('in-use', `"${use.boatName}" has the berth in this absence. Recall the absence instead.`);
    }
    await tx.absence.delete({ where: { marinaId_id: { marinaId, id: absenceId } } });
    await rewriteDerivedUses(tx, marinaId, touchedBy([claim], from));
    await recordChange({ holdingId, ...absenceDocument(stored) }, null);
  });
}

type StoredAbsence = StoredHolding['absences'][number];

/** @throws Problem `not-found`. */
export function absenceOf(holding: StoredHolding, absenceId: string): StoredAbsence {
  const absence = holding.absences.find(({ id }) => id === absenceId);
  if (absence === undefined) {
    throw new Problem('not-found', `The holding of ${holding.holderName} has no absence "${absenceId}".`);
  }
  return absence;
}

function document({ fromAt, untilAt }: StoredAbsence) {
  return { from: fromAt.getTime(), until: untilAt.getTime() };
}
