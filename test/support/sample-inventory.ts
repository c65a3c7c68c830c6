import type {
  Berth,
  Dock,
  Equipment,
  EquipmentKind,
  GroundFault,
  Inventory,
  MarinaSettings,
  Outlet,
  Pedestal,
  Reach,
  SpaceUnit,
} from '../../core/inventory/inventory.ts';
import type { AdapterKind } from '../../core/standards/adapter-kind.ts';
import type { LineName } from '../../core/standards/configuration.ts';
import type { Source } from '../../core/standards/source.ts';

const invented: Source = { title: 'invented for the tests', fromMemory: false };

export const sampleSettings: MarinaSettings = {
  practiceId: 'nec-555-2020',
  countingBasis: 'all',
  refusingBasis: 'rated',
  overhangAllowedM: 0.5,
  beamClearanceM: 0.3,
  underKeelAllowanceM: 0.3,
  lowestTideM: -0.3,
  predictedLowTides: [
    { from: '2030-06-01', until: '2030-06-08', heightM: -0.2 },
    { from: '2030-06-08', until: '2030-06-15', heightM: 0.1 },
  ],
  tidalRangeM: 1.2,
  cordSlackM: 1,
  usualCordLengthsM: [3.66, 7.62, 12.19, 15.24],
  cordsInSeriesAllowed: 1,
  refuseCordBelowBreaker: false,
  turnoverMinutes: 60,
  arrivalHour: 15,
  departureHour: 11,
  noShowHour: 22,
  recallNoticeHours: 24,
};

/** One 50 A 125/250 V outlet to one 30 A 125 V inlet, its breaker built in. */
const ownStepDown: AdapterKind = {
  id: 'own-step-down',
  name: 'SS2-50 plug to L5-30 connector with a 30 A breaker',
  plugs: [{ id: 'P1', configurationId: 'SS2-50' }],
  connectors: [{ id: 'C1', configurationId: 'L5-30' }],
  conductors: [
    {
      from: { fitting: 'P1', terminal: 'L1' },
      to: { fitting: 'C1', terminal: 'L1' },
      ratedA: 30,
      ratedV: 125,
      breakerA: 30,
    },
    {
      from: { fitting: 'P1', terminal: 'N' },
      to: { fitting: 'C1', terminal: 'N' },
      ratedA: 30,
      ratedV: 125,
      breakerA: null,
    },
    {
      from: { fitting: 'P1', terminal: 'G' },
      to: { fitting: 'C1', terminal: 'G' },
      ratedA: 30,
      ratedV: 125,
      breakerA: null,
    },
  ],
  interlock: false,
  source: invented,
};

const fitted30: GroundFault = { device: 'fitted', settingMa: 30, delayMs: 0 };
const fitted100: GroundFault = { device: 'fitted', settingMa: 100, delayMs: 200 };
const noDevice: GroundFault = { device: 'none', settingMa: null, delayMs: null };
const unknownDevice: GroundFault = { device: 'unknown', settingMa: null, delayMs: null };

function part(id: string, kind: EquipmentKind, parentId: string | null, given: Partial<Equipment>): Equipment {
  return {
    id,
    label: id.toUpperCase(),
    kind,
    parentId,
    systemId: null,
    lines: null,
    breakerA: null,
    conductorAmpacityA: null,
    neutralAmpacityA: null,
    busA: null,
    conductor: null,
    transformer: null,
    groundFault: noDevice,
    otherLoads: [],
    earthing: null,
    ...given,
  };
}

const equipment: Equipment[] = [
  part('svc', 'service', null, { systemId: '480Y/277', breakerA: 800, busA: 800, earthing: 'groundedNeutral' }),
  part('xfmr-a', 'transformer', 'svc', {
    systemId: '120/240-split-phase',
    transformer: { ratedKva: 100, connection: 'centreTapped', percentR: 1.2, percentX: 2.5 },
    earthing: 'groundedNeutral',
  }),
  part('panel-a', 'panelboard', 'xfmr-a', {
    breakerA: 400,
    busA: 400,
    otherLoads: [{ label: 'dock lighting', loadVa: { L1: 600, L2: 400 } }],
  }),
  part('feeder-a1', 'feeder', 'panel-a', {
    breakerA: 200,
    conductorAmpacityA: 200,
    neutralAmpacityA: 200,
    conductor: { material: 'copper', size: '3/0', sizeUnit: 'AWG', parallelSets: 1, lengthM: 40 },
    groundFault: fitted100,
  }),
  // A feeder whose limits nobody has stated: not assessed.
  part('feeder-a2', 'feeder', 'panel-a', { groundFault: unknownDevice }),
  part('xfmr-b', 'transformer', 'svc', {
    systemId: '208Y/120',
    transformer: { ratedKva: 112.5, connection: 'deltaWye', percentR: 1.5, percentX: 3 },
    earthing: 'groundedNeutral',
  }),
  part('panel-b', 'panelboard', 'xfmr-b', { breakerA: 350, busA: 400 }),
  part('feeder-b1', 'feeder', 'panel-b', {
    breakerA: 200,
    conductorAmpacityA: 205,
    neutralAmpacityA: 205,
    conductor: { material: 'aluminium', size: '250', sizeUnit: 'kcmil', parallelSets: 1, lengthM: 60 },
    groundFault: fitted100,
  }),
];

const docks: Dock[] = [
  { id: 'dock-a', label: 'A', kind: 'floating', lengthM: 60 },
  { id: 'dock-b', label: 'B', kind: 'fixed', lengthM: 80 },
];

function pedestal(id: string, dockId: string, fedById: string, alongDockM: number): Pedestal {
  return { id, label: id.replace('ped-', '').toUpperCase(), dockId, fedById, alongDockM };
}

const pedestals: Pedestal[] = [
  pedestal('ped-a1', 'dock-a', 'feeder-a1', 6),
  pedestal('ped-a2', 'dock-a', 'feeder-a1', 18),
  pedestal('ped-a3', 'dock-a', 'feeder-a1', 30),
  pedestal('ped-a4', 'dock-a', 'feeder-a2', 42),
  pedestal('ped-b1', 'dock-b', 'feeder-b1', 10),
  pedestal('ped-b2', 'dock-b', 'feeder-b1', 40),
];

/** Outlet `a1a` stands on pedestal `ped-a1` under the label `A`. */
function outlet(
  id: string,
  configurationId: string,
  breakerA: number,
  lines: LineName[] | null,
  given?: Partial<Outlet>,
): Outlet {
  return {
    id,
    label: id.slice(-1).toUpperCase(),
    pedestalId: `ped-${id.slice(0, -1)}`,
    fedById: null,
    configurationId,
    lines,
    breakerA,
    groundFault: fitted30,
    dedicatedBerthId: null,
    subMetered: false,
    heightM: 0.9,
    ...given,
  };
}

const outlets: Outlet[] = [
  outlet('a1a', 'L5-30', 30, ['L1']),
  outlet('a1b', 'L5-30', 30, ['L2']),
  outlet('a1c', 'SS2-50', 50, ['L1', 'L2'], { dedicatedBerthId: 'A2' }),
  outlet('a2a', 'L5-30', 30, ['L1']),
  outlet('a2b', 'SS2-50', 50, ['L1', 'L2']),
  outlet('a2c', '5-20', 20, ['L2'], { groundFault: { device: 'fitted', settingMa: 5, delayMs: 0 } }),
  outlet('a3a', 'SS1-50', 50, ['L1']),
  outlet('a3b', 'L5-30', 30, ['L2']),
  outlet('a4a', 'L5-30', 30, null),
  outlet('a4b', 'SS2-50', 50, ['L1', 'L2'], { groundFault: unknownDevice }),
  outlet('b1a', 'L5-30', 30, ['L1']),
  outlet('b1b', 'SS2-50', 50, ['L1', 'L2']),
  outlet('b2a', 'L5-30', 30, ['L3']),
  outlet('b2b', 'SS2-50', 50, ['L2', 'L3']),
  outlet('b2c', 'PS-100-120/208-4P5W', 100, ['L1', 'L2', 'L3']),
];

function unit(id: string, dockId: string, given?: Partial<SpaceUnit>): SpaceUnit {
  return { id, label: id, dockId, kind: 'slip', faceLengthM: null, ...given };
}

const spaceUnits: SpaceUnit[] = [
  ...['A1', 'A2', 'A3', 'A4', 'A5', 'A6'].map((id) => unit(id, 'dock-a')),
  ...['B1', 'B2', 'B3', 'B4'].map((id) => unit(id, 'dock-b')),
  unit('BF', 'dock-b', { kind: 'face', faceLengthM: 60 }),
  unit('BR', 'dock-b', { kind: 'raftPlace' }),
];

function reaches(...outletIds: string[]): Reach[] {
  return outletIds.map((outletId) => ({ outletId, alongM: 0.5, acrossM: 2, detourM: 0 }));
}

function berth(id: string, lengthM: number, beamM: number, depthM: number, given: Partial<Berth>): Berth {
  return {
    id,
    label: id,
    unitIds: [id],
    faceFromM: null,
    faceUntilM: null,
    mooring: 'fingerPier',
    fingerOn: 'left',
    lengthM,
    beamM,
    depthM,
    orientations: ['bowIn', 'sternIn'],
    reaches: [],
    ...given,
  };
}

const berths: Berth[] = [
  berth('A1', 10, 4, 2.2, { reaches: reaches('a1a', 'a1b') }),
  berth('A2', 14, 4.8, 2.6, { reaches: reaches('a1a', 'a1b', 'a1c') }),
  berth('A3', 12, 4.2, 2.4, { reaches: reaches('a2a', 'a2b') }),
  berth('A4', 12, 4.2, 2.4, { reaches: reaches('a2a', 'a2b', 'a3b') }),
  berth('A5', 12, 4.2, 2.4, { reaches: reaches('a3a', 'a3b') }),
  berth('A6', 15, 5, 2.8, { reaches: reaches('a4a', 'a4b') }),
  // Two slips side by side for one multihull: taken together or not at all.
  berth('A5-A6', 12, 9, 2.4, { unitIds: ['A5', 'A6'], mooring: 'pilings', reaches: reaches('a3a', 'a3b', 'a4b') }),
  berth('B1', 11, 4, 2.5, { reaches: reaches('b1a'), orientations: ['bowIn'] }),
  berth('B2', 16, 5.2, 3, { reaches: reaches('b1a', 'b1b') }),
  berth('B3', 16, 5.2, 3, { reaches: reaches('b2a', 'b2b') }),
  berth('B4', 20, 6, 3.2, { reaches: reaches('b2a', 'b2b', 'b2c'), mooring: 'sternTo' }),
  berth('BF-1', 20, 6, 3.5, {
    unitIds: ['BF'],
    faceFromM: 0,
    faceUntilM: 20,
    mooring: 'alongside',
    reaches: [{ outletId: 'b1b', alongM: 10, acrossM: 0.6, detourM: 0 }],
  }),
  berth('BF-2', 25, 7, 3.5, {
    unitIds: ['BF'],
    faceFromM: 20,
    faceUntilM: 45,
    mooring: 'alongside',
    reaches: [{ outletId: 'b2c', alongM: 40, acrossM: 0.6, detourM: 1 }],
  }),
  berth('BR', 12, 4, 3.5, { mooring: 'rafted', orientations: ['bowIn'] }),
];

const sample: Inventory = {
  name: 'Sample Harbor',
  timeZone: 'America/New_York',
  settings: sampleSettings,
  practices: [
    {
      id: 'harbor-sum',
      name: 'Every rating at 100 %',
      rows: [{ from: 1, to: null, factor: 1 }],
      subMeterFactor: null,
      twoVoltageRule: false,
      notes: [],
      source: invented,
    },
  ],
  adapterKinds: [ownStepDown],
  docks,
  equipment,
  pedestals,
  outlets,
  spaceUnits,
  berths,
  adapterStock: [{ id: 'stock-step-down', label: 'Step-down 50 to 30', adapterKindId: 'own-step-down', quantity: 2 }],
};

/**
 * A small legal marina: dock A floats on 120/240 V split-phase (pedestal A4 has an unknown line, an unknown
 * ground-fault device and a feeder without limits), dock B is fixed on 208Y/120 V with a face and a raft place. Berth
 * `A5-A6` is two slips together.
 */
export function sampleInventory(overrides: Partial<Inventory> = {}): Inventory {
  return { ...sample, ...overrides };
}

type Collection = 'docks' | 'equipment' | 'pedestals' | 'outlets' | 'spaceUnits' | 'berths' | 'adapterStock';

/** The same marina with one item patched. Throws where there is no such item, so that a test cannot patch nothing. */
export function withPatched<C extends Collection>(
  inventory: Inventory,
  collection: C,
  id: string,
  patch: Partial<Inventory[C][number]>,
): Inventory {
  const items: readonly { readonly id: string }[] = inventory[collection];
  if (!items.some((item) => item.id === id)) throw new Error(`no "${id}" in ${collection}`);
  return { ...inventory, [collection]: items.map((item) => (item.id === id ? { ...item, ...patch } : item)) };
}
