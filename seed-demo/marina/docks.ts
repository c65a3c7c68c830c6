import type { GroundFault, Mooring } from '../../core/inventory/inventory.ts';
import type { PatternBranchCircuit, PedestalPattern } from '../../core/inventory/patterns.ts';
import type { LineName } from '../../core/standards/configuration.ts';
import { fitted5, fitted30, noDevice } from './equipment.ts';

type Lines = readonly (readonly LineName[])[];
type Wanted = PedestalPattern['outlets'][number];

const inTurnOf2: Lines = [['L1'], ['L2']];
const inTurnOf3: Lines = [['L1'], ['L2'], ['L3']];
const both: Lines = [['L1', 'L2']];
const pairsOf3: Lines = [
  ['L1', 'L2'],
  ['L2', 'L3'],
  ['L3', 'L1'],
];

interface Row {
  readonly dock: string;
  readonly fedById: string;
  readonly from: number;
  readonly to: number;
  readonly spacingM: number;
  readonly outlets: readonly Wanted[];
  /** Two slips in one well, the pedestal at its head between them. */
  readonly slip: { readonly lengthM: number; readonly beamM: number; readonly depthM: number };
  readonly mooring: Mooring;
  readonly orientations?: PedestalPattern['berths'][number]['orientations'];
  readonly branchCircuit?: PatternBranchCircuit;
}

function outlets(
  dock: string,
  configurationId: string,
  breakerA: number,
  count: number,
  lineTurns: Lines | null,
  groundFault: GroundFault = fitted30,
): Wanted {
  return {
    id: `${dock}{p}{a}`,
    label: '{a}',
    count,
    configurationId,
    lineTurns,
    breakerA,
    groundFault,
    subMetered: dock === 'D',
    heightM: 0.9,
  };
}

function row({ dock, fedById, from, to, spacingM, slip, mooring, ...given }: Row): PedestalPattern {
  const orientations = given.orientations ?? ['bowIn', 'sternIn'];
  // The left slip sees the pedestal to its right, the right one to its left.
  const fingers = mooring === 'fingerPier';
  const berth = (acrossM: number): PedestalPattern['berths'][number] => ({
    id: `${dock}{n}`,
    label: `${dock}{n}`,
    ...slip,
    mooring,
    // The piers stand on the outer sides of the well.
    fingerOn: fingers ? (acrossM > 0 ? 'left' : 'right') : null,
    orientations,
    reach: { alongM: -0.4, acrossM, detourM: 0 },
  });
  return {
    dockId: dock,
    count: to - from + 1,
    firstNumber: from,
    firstAlongM: 6 + (from - 1) * spacingM,
    spacingM,
    fedById,
    pedestal: { id: `P-${dock}{p}`, label: `${dock}{p}` },
    branchCircuit: given.branchCircuit ?? null,
    outlets: given.outlets,
    berths: [berth(slip.beamM / 2), berth(-slip.beamM / 2)],
    firstBerthNumber: 2 * from - 1,
  };
}

const a30 = (count: number) => outlets('A', 'L5-30', 30, count, inTurnOf2);
const b30 = (count: number, groundFault = fitted30) => outlets('B', 'L5-30', 30, count, inTurnOf2, groundFault);
const b50 = (count: number, groundFault = fitted30) => outlets('B', 'SS2-50', 50, count, both, groundFault);
const c30 = (count: number) => outlets('C', 'L5-30', 30, count, inTurnOf3);
const c50 = (count: number) => outlets('C', 'SS2-50', 50, count, pairsOf3);
const d50 = (count: number) => outlets('D', 'SS2-50', 50, count, both);
const d100 = (count: number) => outlets('D', 'PS-100-125/250-3P4W', 100, count, both);
const convenience = (dock: string) => outlets(dock, '5-20', 20, 1, dock === 'C' ? inTurnOf3 : inTurnOf2, fitted5);

const slipsA = { lengthM: 10.5, beamM: 4, depthM: 2.6 };
const slipsB = { lengthM: 12.5, beamM: 4.6, depthM: 2.9 };
const slipsC = { lengthM: 15, beamM: 5.2, depthM: 3.2 };
const slipsD = { lengthM: 18, beamM: 5.8, depthM: 3.6 };

/** Pedestals with two slips each. The last pedestals of each dock are for guests. */
export const slipPatterns: readonly PedestalPattern[] = [
  row({
    dock: 'A',
    fedById: 'A1',
    from: 1,
    to: 10,
    spacingM: 9,
    slip: slipsA,
    mooring: 'fingerPier',
    outlets: [a30(2)],
  }),
  row({
    dock: 'A',
    fedById: 'A2',
    from: 11,
    to: 20,
    spacingM: 9,
    slip: slipsA,
    mooring: 'fingerPier',
    outlets: [a30(2), convenience('A')],
  }),
  row({
    dock: 'A',
    fedById: 'A3',
    from: 21,
    to: 29,
    spacingM: 9,
    slip: slipsA,
    mooring: 'fingerPier',
    outlets: [a30(2)],
  }),
  row({
    dock: 'A',
    fedById: 'A3',
    from: 30,
    to: 32,
    spacingM: 9,
    slip: { ...slipsA, lengthM: 11.5 },
    mooring: 'fingerPier',
    outlets: [a30(2), outlets('A', 'SS1-50', 50, 1, inTurnOf2), outlets('A', 'SS2-50', 50, 1, both)],
  }),
  // Dock B is the oldest: its pedestals have no ground-fault devices, but for the guests'.
  row({
    dock: 'B',
    fedById: 'B1',
    from: 1,
    to: 14,
    spacingM: 10.5,
    slip: slipsB,
    mooring: 'fingerPier',
    outlets: [b30(2, noDevice), b50(1, noDevice), convenience('B')],
  }),
  row({
    dock: 'B',
    fedById: 'B2',
    from: 15,
    to: 28,
    spacingM: 10.5,
    slip: { ...slipsB, lengthM: 14 },
    mooring: 'fingerPier',
    outlets: [b50(2, noDevice)],
  }),
  row({
    dock: 'B',
    fedById: 'B3',
    from: 29,
    to: 32,
    spacingM: 10.5,
    slip: { ...slipsB, lengthM: 14 },
    mooring: 'fingerPier',
    outlets: [b30(2), b50(2), convenience('B')],
  }),
  row({
    dock: 'C',
    fedById: 'C1',
    from: 1,
    to: 13,
    spacingM: 12,
    slip: slipsC,
    mooring: 'pilings',
    outlets: [c30(2), c50(1)],
  }),
  row({
    dock: 'C',
    fedById: 'C2',
    from: 14,
    to: 26,
    spacingM: 12,
    slip: slipsC,
    mooring: 'pilings',
    outlets: [c50(2)],
  }),
  row({
    dock: 'C',
    fedById: 'C3',
    from: 27,
    to: 28,
    spacingM: 12,
    slip: slipsC,
    mooring: 'pilings',
    orientations: ['bowIn'],
    outlets: [c30(2), c50(2)],
  }),
  row({
    dock: 'C',
    fedById: 'C3',
    from: 29,
    to: 29,
    spacingM: 12,
    slip: slipsC,
    mooring: 'pilings',
    outlets: [c30(2), c50(2)],
  }),
  // The last pedestal of dock C: nobody has measured which line its second 30 A outlet is on.
  row({
    dock: 'C',
    fedById: 'C2',
    from: 30,
    to: 30,
    spacingM: 12,
    slip: slipsC,
    mooring: 'pilings',
    outlets: [c30(1), outlets('C', 'L5-30', 30, 1, null), c50(2)],
  }),
  row({
    dock: 'D',
    fedById: 'D1',
    from: 1,
    to: 12,
    spacingM: 13.5,
    slip: slipsD,
    mooring: 'pilings',
    outlets: [d50(2)],
  }),
  row({
    dock: 'D',
    fedById: 'D2',
    from: 13,
    to: 18,
    spacingM: 13.5,
    slip: slipsD,
    mooring: 'pilings',
    outlets: [d50(2)],
  }),
  row({
    dock: 'D',
    fedById: 'D2',
    from: 19,
    to: 22,
    spacingM: 13.5,
    slip: { ...slipsD, lengthM: 21, beamM: 6.2 },
    mooring: 'sternTo',
    outlets: [d100(2)],
  }),
  row({
    dock: 'D',
    fedById: 'D3',
    from: 23,
    to: 25,
    spacingM: 13.5,
    slip: { ...slipsD, lengthM: 21, beamM: 6.2 },
    mooring: 'pilings',
    outlets: [d50(2), d100(1), outlets('D', 'L5-30', 30, 1, inTurnOf2), convenience('D')],
    branchCircuit: {
      id: 'D3-{p}',
      label: 'branch circuit D3-{p}',
      breakerA: 200,
      conductorAmpacityA: 200,
      neutralAmpacityA: 200,
      conductor: { material: 'copper', size: '3/0', sizeUnit: 'AWG', parallelSets: 1, lengthM: 6 },
      groundFault: fitted30,
    },
  }),
];

/** Pedestals on the face at the head of dock D: boats lie alongside and pay by the metre. */
export const facePattern: PedestalPattern = {
  dockId: 'D',
  count: 6,
  firstNumber: 41,
  firstAlongM: 345,
  spacingM: 0,
  fedById: 'D3',
  pedestal: { id: 'P-D{p}', label: 'D{p}' },
  branchCircuit: null,
  outlets: [outlets('D', 'L5-30', 30, 2, inTurnOf2), outlets('D', 'SS1-50', 50, 1, [['L2'], ['L1']]), d50(1)],
  berths: [],
  firstBerthNumber: 1,
};
