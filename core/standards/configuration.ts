import type { Source } from './source.ts';

/** Conductor positions of a fitting or a supply. `N` is the neutral, `G` the protective (grounding) conductor. */
export type LineName = 'L1' | 'L2' | 'L3';
export type Terminal = LineName | 'N' | 'G';

/** Of configurations: the standards that they come from, and those of a marina's own. */
export const configurationFamilies = ['NEMA WD 6', 'pin-and-sleeve', 'IEC 60309', 'marina'] as const;

/**
 * One standard pattern of contacts: an outlet and a plug of the same configuration mate, of different ones never.
 * Mating proves neither volts nor frequency.
 */
export interface Configuration {
  /** The standard's designation, such as `L5-30`, `SS2-50`, `PS-100-125/250-3P4W`, `IEC-32-2P+E-230-6h`. */
  readonly id: string;
  readonly name: string;
  readonly family: (typeof configurationFamilies)[number];
  readonly poles: number;
  readonly wires: number;
  readonly ratedA: number;
  /** The label's volts, such as `125/250`; for people. Computation uses nominal volts of the supply. */
  readonly labelV: string;
  /** Contacts present, lines first. A 125 V pattern has L1, N, G; a 250 V one without neutral has L1, L2, G. */
  readonly terminals: readonly Terminal[];
  /** Nominal volts that the pattern is meant for, line to neutral and line to line; null where there is no such pair. */
  readonly lineToNeutralV: number | null;
  readonly lineToLineV: number | null;
  readonly frequencyHz: readonly number[];
  /** False for general-purpose patterns (15 and 20 A straight blade): they are no shore power. */
  readonly shorePower: boolean;
  readonly source: Source;
}
