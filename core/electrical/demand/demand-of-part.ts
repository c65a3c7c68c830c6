import type { Finding } from '../../findings.ts';
import type { LineName } from '../../standards/configuration.ts';

export type LimitKind = 'breaker' | 'conductor' | 'neutral' | 'bus' | 'winding';

/** One limit of one part, kept apart from the others. */
export interface LimitCheck {
  readonly kind: LimitKind;
  /** Name of the winding; null for the other kinds. */
  readonly winding: string | null;
  readonly actual: number;
  /** Null: nobody has stated it. */
  readonly limit: number | null;
  /** `limit - actual`; negative when over, null where the limit is unknown. */
  readonly margin: number | null;
  readonly unit: 'A' | 'kVA';
}

/**
 * `within`: every stated limit holds. `over`: at least one does not. `notAssessed`: no limit is stated, or a load or
 * the supply is unknown; never to be read as within.
 */
export type Assessment = 'within' | 'over' | 'notAssessed';

/**
 * Where the amperes come from. `design`: every receptacle by the table as printed. `rated`: receptacles in use by the
 * admission formula. `stated`: the boats' own loads, no factor. Later bases join here.
 */
export type LoadBasis = 'rated' | 'stated';
export type DemandBasis = 'design' | LoadBasis;

/** How receptacles were counted for the factor; `larger`: whichever of both counts gives more. */
export type CountingBasis = 'all' | 'mostLoadedLine' | 'larger';

/** The count that chose the factor. In `rated` answers it belongs to the part's whole load: `factor` x `countedVa`. */
export interface AppliedFactor {
  readonly countingBasis: CountingBasis;
  readonly count: number;
  readonly factor: number;
  /** Load that the factor applies to: in `rated` answers the `count` largest ratings summed, VA. */
  readonly countedVa: number;
  /** Practice's citation. */
  readonly source: string;
}

/** Demand of one part of the distribution tree. */
export interface DemandOfPart {
  readonly equipmentId: string;
  readonly label: string;
  readonly basis: DemandBasis;
  /** Receptacles counted. */
  readonly receptacles: number;
  /** Their ratings summed, or the boats' stated loads, VA. */
  readonly connectedVa: number;
  /** Null on the stated basis: no factor. */
  readonly appliedFactor: AppliedFactor | null;
  /** Loads outside the factor, VA. */
  readonly otherLoadVa: number;
  /** Connected load x factor, and the other loads. */
  readonly demandVa: number;
  /** Amperes by line; empty where the supply is unknown. */
  readonly lineA: Partial<Record<LineName, number>>;
  readonly limits: readonly LimitCheck[];
  readonly assessment: Assessment;
  readonly findings: readonly Finding[];
}

/** A limit's largest load over a period and when it begins, epoch milliseconds. */
export interface PeakCheck extends LimitCheck {
  readonly at: number;
}

export interface PeakValue {
  readonly value: number;
  readonly at: number;
}

/** Peak of one part over a period on one basis; each value peaks at a time of its own. */
export interface PeakOfPart {
  readonly equipmentId: string;
  readonly label: string;
  readonly basis: LoadBasis;
  readonly demandVa: PeakValue;
  readonly lineA: Partial<Record<LineName, PeakValue>>;
  readonly limits: readonly PeakCheck[];
  readonly assessment: Assessment;
  readonly findings: readonly Finding[];
}
