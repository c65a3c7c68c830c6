import type { LineName } from './configuration.ts';
import type { Source } from './source.ts';

/** A supply's lines with their phasors. Volts line to neutral; angles in degrees. */
export interface SupplySystem {
  /** `120/240-split-phase`, `208Y/120`, `240/120-high-leg-delta`, `230-single-phase`, `400Y/230`, ... */
  readonly id: string;
  readonly name: string;
  readonly lines: readonly { readonly name: LineName; readonly voltageV: number; readonly angleDeg: number }[];
  readonly hasNeutral: boolean;
  readonly frequencyHz: 50 | 60;
  readonly source: Source;
}
