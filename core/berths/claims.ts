import type { Period } from '../periods.ts';
import type { UsedBy } from './occupancy.ts';

/** A right to, or a closing of, space or outlets for a period. */
export interface Claim extends Period {
  readonly by: UsedBy;
}

/** An absence that the holder released; from `recalledFrom` on it is the holder's again. */
export interface ReleasedAbsence extends Period {
  readonly recalledFrom: number | null;
}

/** The periods that absences really set free, recall considered. */
export function releasedPeriods(absences: readonly ReleasedAbsence[]): Period[] {
  return absences
    .map(({ from, until, recalledFrom }) => ({ from, until: Math.min(until, recalledFrom ?? until) }))
    .filter(({ from, until }) => from < until);
}

/** Among like claims that overlap the earlier keeps its place, then the lower id: the order they came in never matters. */
export function inOrderOfRight<T extends Claim>(claims: readonly T[]): T[] {
  return [...claims].sort((a, b) => a.from - b.from || (a.by.id < b.by.id ? -1 : a.by.id > b.by.id ? 1 : 0));
}
