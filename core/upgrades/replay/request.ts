import type { Wishes } from '../../berths/options/options.ts';
import type { LocalDays } from '../../berths/tide.ts';
import type { Boat } from '../../boats.ts';
import type { Period } from '../../periods.ts';

/** One call of a season, served or turned away. */
export interface ReplayRequest {
  readonly id: string;
  readonly boat: Boat;
  /** When it called: requests are taken in this order, then by id. */
  readonly bookedAt: number;
  readonly period: Period;
  readonly localDays: LocalDays;
  /** Local days whose night it stays. */
  readonly nights: readonly string[];
  readonly wishes: Wishes;
  /** Energy it took; null: not measured. */
  readonly energyKwh: number | null;
}
