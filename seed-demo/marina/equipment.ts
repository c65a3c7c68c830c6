import type { Conductor, Equipment, EquipmentKind, GroundFault } from '../../core/inventory/inventory.ts';

export const fitted30: GroundFault = { device: 'fitted', settingMa: 30, delayMs: 0 };
export const fitted5: GroundFault = { device: 'fitted', settingMa: 5, delayMs: 0 };
export const noDevice: GroundFault = { device: 'none', settingMa: null, delayMs: null };
export const unknownDevice: GroundFault = { device: 'unknown', settingMa: null, delayMs: null };
const fitted100: GroundFault = { device: 'fitted', settingMa: 100, delayMs: 200 };

function part(
  id: string,
  label: string,
  kind: EquipmentKind,
  parentId: string | null,
  given: Partial<Equipment>,
): Equipment {
  return {
    id,
    label,
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

function copper(size: string, sizeUnit: Conductor['sizeUnit'], lengthM: number, parallelSets = 1): Conductor {
  return { material: 'copper', size, sizeUnit, parallelSets, lengthM };
}

/** A single-phase transformer on two lines of the service, with the feeder that brings them. */
function splitPhase(
  dock: string,
  lines: Equipment['lines'],
  ratedKva: number,
  primary: { readonly breakerA: number; readonly ampacityA: number; readonly conductor: Conductor },
): Equipment[] {
  return [
    part(`FT-${dock}`, `primary feeder of dock ${dock}`, 'feeder', 'SVC', {
      lines,
      breakerA: primary.breakerA,
      conductorAmpacityA: primary.ampacityA,
      conductor: primary.conductor,
    }),
    part(`T-${dock}`, `transformer ${dock}`, 'transformer', `FT-${dock}`, {
      systemId: '120/240-split-phase',
      transformer: { ratedKva, connection: 'centreTapped', percentR: 1.3, percentX: 2.6 },
      earthing: 'groundedNeutral',
    }),
  ];
}

interface FeederSize {
  readonly breakerA: number;
  readonly ampacityA: number;
  readonly neutralA: number;
  readonly conductor: Conductor;
}

function feeder(id: string, label: string, parentId: string, size: FeederSize): Equipment {
  return part(id, label, 'feeder', parentId, {
    breakerA: size.breakerA,
    conductorAmpacityA: size.ampacityA,
    neutralAmpacityA: size.neutralA,
    conductor: size.conductor,
    groundFault: fitted100,
  });
}

const lighting = (L1: number, L2: number) => [{ label: 'dock lighting and water heating', loadVa: { L1, L2 } }];

/**
 * From the service to the feeders. Docks A, B and D have split-phase transformers on different pairs of the service's
 * lines, dock C a three-phase one. Feeder C2 has no limit on record; feeder A3 is tight in season.
 */
export const demoEquipment: readonly Equipment[] = [
  part('SVC', 'service', 'service', null, {
    systemId: '480Y/277',
    breakerA: 1600,
    busA: 1600,
    earthing: 'groundedNeutral',
    groundFault: { device: 'fitted', settingMa: 1000, delayMs: 500 },
  }),
  ...splitPhase('A', ['L1', 'L2'], 167, { breakerA: 350, ampacityA: 380, conductor: copper('500', 'kcmil', 25) }),
  part('P-A', 'panelboard A', 'panelboard', 'T-A', { breakerA: 800, busA: 800, otherLoads: lighting(900, 900) }),
  feeder('A1', 'feeder A1', 'P-A', {
    breakerA: 300,
    ampacityA: 310,
    neutralA: 310,
    conductor: copper('350', 'kcmil', 35),
  }),
  feeder('A2', 'feeder A2', 'P-A', {
    breakerA: 300,
    ampacityA: 310,
    neutralA: 310,
    conductor: copper('350', 'kcmil', 70),
  }),
  feeder('A3', 'feeder A3', 'P-A', {
    breakerA: 250,
    ampacityA: 255,
    neutralA: 255,
    conductor: copper('250', 'kcmil', 105),
  }),
  ...splitPhase('B', ['L2', 'L3'], 333, { breakerA: 600, ampacityA: 620, conductor: copper('350', 'kcmil', 30, 2) }),
  part('P-B', 'panelboard B', 'panelboard', 'T-B', { breakerA: 1200, busA: 1200, otherLoads: lighting(1200, 800) }),
  feeder('B1', 'feeder B1', 'P-B', {
    breakerA: 500,
    ampacityA: 510,
    neutralA: 510,
    conductor: copper('250', 'kcmil', 40, 2),
  }),
  feeder('B2', 'feeder B2', 'P-B', {
    breakerA: 1000,
    ampacityA: 1005,
    neutralA: 1005,
    conductor: copper('400', 'kcmil', 90, 3),
  }),
  feeder('B3', 'feeder B3', 'P-B', {
    breakerA: 350,
    ampacityA: 380,
    neutralA: 380,
    conductor: copper('500', 'kcmil', 130),
  }),
  part('T-C', 'transformer C', 'transformer', 'SVC', {
    systemId: '208Y/120',
    transformer: { ratedKva: 500, connection: 'deltaWye', percentR: 1.5, percentX: 4.2 },
    earthing: 'groundedNeutral',
  }),
  part('P-C', 'panelboard C', 'panelboard', 'T-C', {
    breakerA: 1200,
    busA: 1200,
    otherLoads: [{ label: 'fuel dock and office', loadVa: { L1: 2400, L2: 1800, L3: 2000 } }],
  }),
  feeder('C1', 'feeder C1', 'P-C', {
    breakerA: 400,
    ampacityA: 400,
    neutralA: 400,
    conductor: copper('3/0', 'AWG', 45, 2),
  }),
  // Nobody has found its breaker's marking yet: not assessed.
  part('C2', 'feeder C2', 'feeder', 'P-C', { groundFault: unknownDevice }),
  feeder('C3', 'feeder C3', 'P-C', {
    breakerA: 350,
    ampacityA: 380,
    neutralA: 380,
    conductor: copper('500', 'kcmil', 120),
  }),
  ...splitPhase('D', ['L1', 'L3'], 500, { breakerA: 800, ampacityA: 840, conductor: copper('600', 'kcmil', 40, 2) }),
  part('P-D', 'panelboard D', 'panelboard', 'T-D', { breakerA: 2000, busA: 2000, otherLoads: lighting(1500, 1500) }),
  feeder('D1', 'feeder D1', 'P-D', {
    breakerA: 1000,
    ampacityA: 1005,
    neutralA: 1005,
    conductor: copper('400', 'kcmil', 50, 3),
  }),
  feeder('D2', 'feeder D2', 'P-D', {
    breakerA: 1000,
    ampacityA: 1005,
    neutralA: 1005,
    conductor: copper('400', 'kcmil', 95, 3),
  }),
  feeder('D3', 'feeder D3', 'P-D', {
    breakerA: 1000,
    ampacityA: 1005,
    neutralA: 1005,
    conductor: copper('400', 'kcmil', 140, 3),
  }),
];
