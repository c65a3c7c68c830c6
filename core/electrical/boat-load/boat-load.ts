import type { LegPlace } from '../../boats.ts';
import type { Finding, Subject } from '../../findings.ts';
import type { LoadMethod } from './load-method.ts';

export const legNames = ['L1', 'L2', 'L3'] as const;
export type Leg = (typeof legNames)[number];
/** Heating and cooling do not run together. `either`: whichever is larger on each leg. */
export type Season = 'summer' | 'winter' | 'either';
type Use = 'always' | 'heating' | 'cooling' | 'heatingAndCooling';

export interface BoatLoadInput {
  readonly method: LoadMethod;
  readonly season: Season;
  readonly boat: Subject;
  readonly inlets: readonly LoadInlet[];
  /** Lighting and circuits by the form; null where only appliances are to be counted. */
  readonly general: GeneralLoad | null;
  readonly appliances: readonly LoadAppliance[];
  /** The appliances are a class default and not what is aboard. */
  readonly assumed: boolean;
}

/** One leg (120 or 230 V), two legs with line-to-line volts between them, or the three lines of a wye. */
export interface LoadInlet {
  readonly id: string;
  readonly lineToNeutralV: number;
  /** Null: one leg. */
  readonly lineToLineV: number | null;
  /** Three lines, 120 degrees apart. Left out: not. */
  readonly threePhase?: boolean;
  /** The boat's main breaker behind it, A a leg; null unknown. */
  readonly mainBreakerA: number | null;
}

/** Spread evenly over the legs of its inlet. Null is unknown. */
export interface GeneralLoad {
  readonly livingAreaM2: number | null;
  readonly applianceCircuits: number | null;
  readonly laundryVa: number;
  /** Nameplate of a range, W; 0 where there is none. */
  readonly rangeW: number | null;
  /** Null unknown: then it counts on every inlet. */
  readonly inletId: string | null;
}

export interface LoadAppliance {
  readonly name: string;
  /** Nameplate, VA; null unknown. */
  readonly loadVa: number | null;
  /** Null unknown: then it counts on every inlet. */
  readonly inletId: string | null;
  /** `even`: spread over all legs. Null unknown: then it counts in full on every leg, at line-to-neutral volts. */
  readonly legs: LegPlace | 'even' | null;
  readonly motor: boolean;
  readonly continuous: boolean;
  /** Fastened in place (water heater, dishwasher, dryer): for the factor for several of them. */
  readonly fixed: boolean;
  readonly use: Use;
}

/** The legs that an inlet has. */
export function legsOf({ lineToLineV, threePhase }: LoadInlet): readonly Leg[] {
  return legNames.slice(0, lineToLineV === null ? 1 : threePhase === true ? 3 : 2);
}

/** The legs that an appliance hangs on there; null where they are unknown, or not among the inlet's. */
export function placeOn({ legs }: LoadAppliance, inlet: LoadInlet): readonly Leg[] | null {
  const has = legsOf(inlet);
  if (legs === 'even') return has;
  const said = legNames.filter((leg) => legs?.split('-').includes(leg));
  return said.length > 0 && said.every((leg) => has.includes(leg)) ? said : null;
}

/** Volts by which a load on so many legs makes equal amperes in each. */
export function voltsOver(legs: number, { lineToNeutralV, lineToLineV }: LoadInlet): number {
  if (legs === 1 || lineToLineV === null) return lineToNeutralV;
  return legs === 2 ? lineToLineV : Math.sqrt(3) * lineToLineV;
}

export interface LegLoad {
  readonly leg: Leg;
  /** Everything of the season at once by nameplate, without the form. */
  readonly runningA: number;
  /** By the form. */
  readonly demandA: number;
  /** By the form with continuous loads at 125 %: what breaker and conductor are chosen for. */
  readonly sizingA: number;
}

export interface InletLoad {
  readonly inletId: string;
  readonly legs: readonly LegLoad[];
  readonly mainBreakerA: number | null;
  /** Of the demand by the form. A load with anything unknown or assumed is never within. */
  readonly assessment: 'within' | 'over' | 'notAssessed';
}

export interface BoatLoad {
  /** Lighting and circuits: as counted, and after the form's factor. */
  readonly generalVa: number;
  readonly generalDemandVa: number;
  readonly rangeDemandVa: number;
  /** The whole boat by the form, VA. */
  readonly demandVa: number;
  readonly inlets: readonly InletLoad[];
  readonly findings: readonly Finding[];
}
