import { type Period, subtract } from '../periods.ts';
import { type Claim, inOrderOfRight, type ReleasedAbsence, releasedPeriods } from './claims.ts';
import type { OutletUse } from './occupancy.ts';

export interface OutOfServiceOutlets extends Claim {
  readonly outletIds: readonly string[];
}

export interface HeldOutlets extends Claim {
  readonly outletIds: readonly string[];
  readonly absences: readonly ReleasedAbsence[];
  readonly statedVa: number | null;
}

export interface OutletClaims {
  readonly assignments: readonly Pick<OutletUse, 'outletId' | 'from' | 'until'>[];
  readonly outOfService: readonly OutOfServiceOutlets[];
  readonly holdings: readonly HeldOutlets[];
}

/**
 * The rows that keep outlets for holders and close outlets out of service, by the rules of `deriveSpaceUses`: what is
 * plugged in is the truth, then what is out of service, then what is held; no two rows of an outlet overlap.
 */
export function deriveOutletUses(claims: OutletClaims): OutletUse[] {
  const taken = new Map<string, Period[]>();
  const take = (outletId: string, period: Period) => {
    const ofOutlet = taken.get(outletId);
    if (ofOutlet === undefined) taken.set(outletId, [period]);
    else ofOutlet.push(period);
  };
  for (const use of claims.assignments) take(use.outletId, use);

  const outOfService = inOrderOfRight(claims.outOfService).map((claim) => ({ ...claim, absences: [], statedVa: null }));
  const rows: OutletUse[] = [];
  for (const claim of [...outOfService, ...inOrderOfRight(claims.holdings)]) {
    const { by, statedVa } = claim;
    const released = releasedPeriods(claim.absences);
    for (const outletId of claim.outletIds) {
      for (const { from, until } of subtract(claim, [...(taken.get(outletId) ?? []), ...released])) {
        rows.push({ outletId, by, statedVa, from, until });
        take(outletId, { from, until });
      }
    }
  }
  return rows;
}
