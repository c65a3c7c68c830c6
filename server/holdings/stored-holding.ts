import { type ReleasedAbsence, releasedPeriods } from '../../core/berths/claims.ts';
import type { SpaceBox, UnitPart } from '../../core/berths/space-uses.ts';
import { type Period, subtract } from '../../core/periods.ts';
import type { Tx } from '../db/client.ts';
import { Problem } from '../errors.ts';
import type { Touched } from '../occupancy/derived-uses.ts';
import type { OutletPeriod } from '../occupancy/displace.ts';
import { heldOutlets, type StoredHolding, withAbsences } from './schema.ts';

/** @throws Problem `not-found`. */
export async function readHolding(tx: Tx, marinaId: string, holdingId: string): Promise<StoredHolding> {
  const where = { marinaId_id: { marinaId, id: holdingId } };
  const row = await tx.holding.findUnique({ where, include: withAbsences });
  if (row === null) throw new Problem('not-found', `There is no holding "${holdingId}".`);
  return row;
}

/** What a holding claims, as core sees it. */
export interface HeldClaim extends Period {
  readonly parts: readonly UnitPart[];
  readonly outletIds: readonly string[];
  readonly absences: readonly ReleasedAbsence[];
}

/**
 * The claim of a stored holding. Its units are those its berth has, retired ones included: a holding outlives a change
 * of the inventory.
 */
export async function claimOf(tx: Tx, row: StoredHolding): Promise<HeldClaim> {
  const { marinaId, berthId, faceFromM, faceUntilM } = row;
  const units = await tx.berthUnit.findMany({ where: { marinaId, berthId }, orderBy: { position: 'asc' } });
  return {
    from: row.fromAt.getTime(),
    until: row.untilAt.getTime(),
    parts: units.map(({ unitId }) => ({ unitId, fromM: faceFromM ?? 0, untilM: faceUntilM ?? 1 })),
    outletIds: heldOutlets.parse(row.outlets).map(({ outletId }) => outletId),
    absences: row.absences.map(({ fromAt, untilAt, recalledFromAt }) => ({
      from: fromAt.getTime(),
      until: untilAt.getTime(),
      recalledFrom: recalledFromAt?.getTime() ?? null,
    })),
  };
}

/** The periods in which it really keeps others out. */
function keptPeriods(claim: HeldClaim): Period[] {
  return subtract(claim, releasedPeriods(claim.absences));
}

export function spacesOf(claim: HeldClaim, periods: readonly Period[] = keptPeriods(claim)): SpaceBox[] {
  return claim.parts.flatMap((part) => periods.map(({ from, until }) => ({ ...part, from, until })));
}

export function outletsOf(claim: HeldClaim, periods: readonly Period[] = keptPeriods(claim)): OutletPeriod[] {
  return claim.outletIds.flatMap((outletId) => periods.map(({ from, until }) => ({ outletId, from, until })));
}

export function touchedBy(claims: readonly HeldClaim[], since: number): Touched {
  return {
    unitIds: claims.flatMap(({ parts }) => parts.map(({ unitId }) => unitId)),
    outletIds: claims.flatMap(({ outletIds }) => outletIds),
    since,
  };
}
