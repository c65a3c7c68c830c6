import type { Boat } from '../boats.ts';
import type { JudgedHookUp, PlacedAdapter } from '../electrical/hook-up/hook-up.ts';
import type { SupplyOutlet } from '../electrical/hook-up/supply-outlet.ts';
import type { Finding, FindingLevel, Verdict } from '../findings.ts';
import type { AdapterKind } from '../standards/adapter-kind.ts';
import type { BoatAsFound, OutletAsFound } from './as-found.ts';
import type { FittingLook } from './fitting-points.ts';
import type { Reading, ReadingName } from './readings.ts';

/** What is known of a stay before anybody has looked: a phone carries it, the desk has it at hand. */
export interface CheckInFacts {
  readonly boat: Boat;
  /** Every outlet that the berth reaches. */
  readonly outlets: readonly SupplyOutlet[];
  readonly adapterKinds: ReadonlyMap<string, AdapterKind>;
  readonly refuseCordBelowBreaker: boolean;
  readonly mandatory: readonly ReadingName[];
  /** Outlets kept for the stay: their load on the feeders was judged. Others were not. */
  readonly keptOutletIds: readonly string[];
  /** What the desk's judgement says beyond the connection itself: feeders, room. */
  readonly deskFindings: readonly Finding[];
  /** Until when all of this may be relied on, epoch milliseconds. */
  readonly holdsUntil: number;
}

/** What the person at the dock enters. */
export interface CheckInEntry {
  /** Epoch milliseconds. */
  readonly at: number;
  /** Outlets used, adapters used, and what was seen of boat and outlets: the joints follow from them. */
  readonly outletIds: readonly string[];
  readonly adapters: readonly Pick<PlacedAdapter, 'kindId' | 'from' | 'stockId'>[];
  readonly boat: BoatAsFound;
  readonly outlets: readonly OutletAsFound[];
  readonly fittings: readonly FittingLook[];
  readonly readings: readonly Reading[];
  /** Held without power for a reason of the person's own; null: not held. */
  readonly heldBecause: string | null;
}

/**
 * What the desk left unconfirmed of the feeders when it kept these outlets for the stay (a part that is not assessed): it
 * accepted that, so that it is a condition and not a question at the dock. Refusals stay refusals.
 */
export function acceptedByDesk<
  F extends { readonly rule: string; readonly level: FindingLevel; readonly message: string },
>(findings: readonly F[]): F[] {
  return findings.map((finding) => {
    if (finding.level !== 'confirm' || !/^(demand|power)\./.test(finding.rule)) return finding;
    return { ...finding, level: 'caution', message: `${finding.message} The desk kept the outlet all the same.` };
  });
}

/** `callDesk`: the verdict cannot be had here; do not energise, call. */
export type CheckInOutcome = 'powered' | 'poweredWithConditions' | 'heldWithoutPower' | 'refused' | 'callDesk';

export interface JudgedCheckIn {
  readonly outcome: CheckInOutcome;
  /** Whether the breaker may be switched on now: the live readings alone may still be missing. */
  readonly mayEnergise: boolean;
  readonly verdict: Verdict;
  readonly hookUp: JudgedHookUp | null;
  /** Gravest first. */
  readonly findings: readonly Finding[];
  /** What the boat is powered under, in words. */
  readonly conditions: readonly string[];
  /** What would lift a refusal. */
  readonly mends: readonly string[];
}
