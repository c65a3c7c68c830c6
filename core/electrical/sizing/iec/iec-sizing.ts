import type { Finding, Subject } from '../../../findings.ts';

/** One circuit of copper in PVC, in conduit, by the IEC practice. Null is unknown: the answer is then not assessed. */
export interface IecSizingInput {
  readonly subject: Subject;
  /** Design current in each line, A. */
  readonly loadA: number;
  /** Single-phase: line to neutral. Three-phase: line to line. */
  readonly voltageV: number;
  readonly phases: 1 | 3;
  readonly powerFactor: number;
  readonly lengthM: number | null;
  /** Null counts as the table's 30. */
  readonly ambientC: number | null;
  /** Circuits bunched together, this one among them. Null counts as one. */
  readonly circuits: number | null;
  /** Most volts that may be lost, percent; null: no limit, the usual advice is held beside the answer. */
  readonly maxDropPercent: number | null;
  /** A conductor to be judged, with its device (null: the smallest standard one); null: the smallest that serves. */
  readonly given: { readonly areaMm2: number; readonly deviceA: number | null } | null;
}

export interface IecConductor {
  readonly areaMm2: number;
  readonly tableA: number;
  readonly temperatureFactor: number;
  readonly groupingFactor: number;
  readonly correctedA: number;
  /** By phasors, at 70 C; null where the length is unknown, or where it cannot carry the current that far. */
  readonly dropV: number | null;
  readonly dropPercent: number | null;
}

export interface IecSizing {
  readonly status: 'fits' | 'doesNotFit' | 'notAssessed';
  readonly deviceA: number | null;
  readonly conductor: IecConductor | null;
  /** The smallest that serves if volts did not matter, mm2. */
  readonly byAmpacityAloneMm2: number | null;
  readonly protectiveMm2: number | null;
  readonly findings: readonly Finding[];
}
