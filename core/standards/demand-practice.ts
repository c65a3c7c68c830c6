import type { Source } from './source.ts';

/** A demand-factor practice: which share of the summed ratings a feeder is expected to carry. */
export interface DemandPractice {
  readonly id: string;
  readonly name: string;
  /** Consecutive rows from 1 on; the last row's `to` is null. */
  readonly rows: readonly { readonly from: number; readonly to: number | null; readonly factor: number }[];
  /** Applied to demand in design checks where each slip has its own energy meter; null where the practice has none. */
  readonly subMeterFactor: number | null;
  /** Whether the two-voltage rule is part of it (two outlets of different voltage dedicated to one slip). */
  readonly twoVoltageRule: boolean;
  readonly notes: readonly string[];
  readonly source: Source;
}
