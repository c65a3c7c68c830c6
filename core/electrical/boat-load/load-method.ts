import type { Source } from '../../standards/source.ts';

/** A published form that turns what is aboard into amperes a leg: its figures as printed, with their source. */
export interface LoadMethod {
  readonly id: string;
  readonly name: string;
  /** VA for each square foot of living space. */
  readonly lightingVaPerSquareFoot: number;
  /** VA for each small-appliance (galley) circuit. */
  readonly applianceCircuitVa: number;
  /** Lighting and small-appliance circuits: this much at 100 %, the rest times `restFactor`. */
  readonly firstVa: number;
  readonly restFactor: number;
  /** Share of the largest motor that is added. */
  readonly largestMotorShare: number;
  /** Where more fixed appliances than this share a leg, their sum is multiplied by the factor. */
  readonly fixedAppliances: { readonly moreThan: number; readonly factor: number; readonly source: Source };
  /** A range counts as `shareOfRating` of its nameplate, or as `demandVa`. Ascending; the last `toW` is the largest known. */
  readonly ranges: {
    readonly rows: readonly { readonly toW: number; readonly shareOfRating?: number; readonly demandVa?: number }[];
    readonly source: Source;
  };
  readonly notes: readonly string[];
  readonly source: Source;
}

const dwellingSource: Source = {
  title: 'Indiana 675 IAC 15-2-100, load calculations (the structure of NEC 550.18)',
  fromMemory: false,
};
const boatStandardSource: Source = { title: 'ABYC E-11, AC load form (unverified)', fromMemory: true };

/** Ranges as the public dwelling form prints them. */
const ranges: LoadMethod['ranges'] = {
  rows: [
    { toW: 10_000, shareOfRating: 0.8 },
    { toW: 12_500, demandVa: 8000 },
    { toW: 13_500, demandVa: 8400 },
    { toW: 14_500, demandVa: 8800 },
    { toW: 15_500, demandVa: 9200 },
    { toW: 16_500, demandVa: 9600 },
    { toW: 17_500, demandVa: 10_000 },
  ],
  source: dwellingSource,
};

const sharedNotes = [
  'The factor for several fixed appliances is counted leg by leg, and never below the sum of as many of the largest as count in full: one appliance more never lowers the load.',
  '25 % of the largest motor is added on each leg for the largest motor on that leg.',
];

const dwelling: LoadMethod = {
  id: 'dwelling-550.18',
  name: 'Dwelling-type form with one feeder and legs',
  lightingVaPerSquareFoot: 3,
  applianceCircuitVa: 1500,
  firstVa: 3000,
  restFactor: 0.35,
  largestMotorShare: 0.25,
  fixedAppliances: { moreThan: 3, factor: 0.75, source: dwellingSource },
  ranges,
  notes: [
    'Written for mobile dwellings: whether it may be used for a boat is for the local authority to say.',
    ...sharedNotes,
  ],
  source: dwellingSource,
};

const boatStandard: LoadMethod = {
  id: 'boat-standard-e11',
  name: "The boat standard's own form (from memory, unverified)",
  lightingVaPerSquareFoot: 2,
  applianceCircuitVa: 1500,
  firstVa: 2000,
  restFactor: 0.35,
  largestMotorShare: 0.25,
  fixedAppliances: { moreThan: 3, factor: 0.6, source: boatStandardSource },
  ranges,
  notes: [
    'From memory and unverified: compare it with the standard before relying on any figure.',
    'The range rows are those of the dwelling-type form.',
    ...sharedNotes,
  ],
  source: boatStandardSource,
};

/** The form that judges a boat where nobody has chosen one. */
export const defaultLoadMethod: LoadMethod = dwelling;

/** The built-in forms. */
export const loadMethods: readonly LoadMethod[] = [dwelling, boatStandard];

/** The built-in form with this id, or null where there is none. */
export function loadMethod(id: string): LoadMethod | null {
  return loadMethods.find((method) => method.id === id) ?? null;
}
