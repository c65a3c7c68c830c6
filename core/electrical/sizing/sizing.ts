import type { Finding, Subject } from '../../findings.ts';
import type { ColumnC } from './corrections.ts';
import type { Conduit, Material } from './voltage-drop.ts';

/** One circuit or feeder. Null is unknown: it is counted as said beside it, and the answer is then not assessed. */
export interface SizingInput {
  readonly subject: Subject;
  /** Demand in each line conductor, A. */
  readonly loadA: number;
  /** Part of it that runs for three hours or more; 0 where a demand table gave the load. */
  readonly continuousA: number;
  /** Most that the neutral can carry, A. Null: sized as the lines. 0: there is no neutral. */
  readonly neutralA: number | null;
  /** Single-phase: volts between the two conductors. Three-phase: line to line. */
  readonly voltageV: number;
  readonly phases: 1 | 3;
  readonly powerFactor: number;
  readonly lengthM: number | null;
  readonly material: Material;
  /** In raceway, cable or earth, or a flexible cord, whose ampacity follows another table: copper, 60 C, one set. */
  readonly wiring: 'raceway' | 'cord';
  readonly conduit: Conduit;
  readonly insulationC: ColumnC;
  /** Rating of the terminals at both ends. Null counts as 60. */
  readonly terminalsC: 60 | 75 | null;
  /** Null counts as the table's 30. */
  readonly ambientC: number | null;
  /** Current-carrying conductors in one raceway or cable. Null counts as three. */
  readonly currentCarrying: number | null;
  /** Temperature of the loaded conductor for volts lost, degrees Celsius; the tables are at 75. */
  readonly conductorC: number;
  /** Most volts that may be lost, percent; null: no limit, the usual advice is held beside the answer. */
  readonly maxDropPercent: number | null;
  readonly mostParallelSets: number;
  /** A conductor to be judged; null: the smallest that serves is chosen. */
  readonly given: GivenConductor | null;
}

export interface GivenConductor extends ConductorSize {
  /** Its breaker, A; null: the smallest standard one for the load. */
  readonly deviceA: number | null;
}

export interface ConductorSize {
  readonly size: string;
  readonly sizeUnit: 'AWG' | 'kcmil' | 'mm2';
  readonly parallelSets: number;
}

/** A size with every figure that decides about it; amperes are of all parallel sets together. */
export interface JudgedConductor extends ConductorSize {
  /** By the column of its insulation. */
  readonly tableA: number;
  readonly temperatureFactor: number;
  readonly countFactor: number;
  readonly correctedA: number;
  /** By the column that its terminals allow, without corrections. */
  readonly terminalsA: number;
  /** The smaller of both. */
  readonly usableA: number;
  /** Largest breaker that it may have. */
  readonly largestDeviceA: number;
  /** Null where length or impedance is unknown, or where it cannot carry the current that far. */
  readonly drop: VoltageDrop | null;
}

export interface VoltageDrop {
  /** By phasors, with resistance and reactance of Chapter 9 Table 9. */
  readonly exactV: number;
  readonly exactPercent: number;
  /** 2 I R L (three-phase: root 3 I R L) with the resistance of Chapter 9 Table 8, stranded, for comparison. */
  readonly resistiveV: number;
}

export interface Sizing {
  /** `notAssessed`: a missing fact decides; what is shown is then by the assumption named. */
  readonly status: 'fits' | 'doesNotFit' | 'notAssessed';
  /** Load with its continuous part at 125 %, A. */
  readonly requiredA: number | null;
  /** Smallest standard breaker for it, or the one given. */
  readonly deviceA: number | null;
  readonly conductor: JudgedConductor | null;
  /** The smallest that serves if volts did not matter. */
  readonly byAmpacityAlone: ConductorSize | null;
  /** Null where there is none, or none fits. */
  readonly neutral: (ConductorSize & { readonly usableA: number }) | null;
  /** Equipment grounding conductor; null beyond its table, and in a flexible cord, which has its own. */
  readonly grounding: ConductorSize | null;
  readonly findings: readonly Finding[];
}
