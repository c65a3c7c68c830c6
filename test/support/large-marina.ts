import type { OutletUse, SpaceUse } from '../../core/berths/occupancy.ts';
import type {
  Berth,
  Dock,
  Equipment,
  GroundFault,
  Inventory,
  Outlet,
  Pedestal,
  Reach,
  SpaceUnit,
} from '../../core/inventory/inventory.ts';
import type { Period } from '../../core/periods.ts';
import type { LineName } from '../../core/standards/configuration.ts';
import { sampleInventory, sampleSettings } from './sample-inventory.ts';

const berthsOfDock = 50;
const outletsOfPedestal = 4;

/** What pedestals carry, in turn along a dock. */
const pedestalKinds: readonly (readonly string[])[] = [
  ['L5-30', 'L5-30', 'SS2-50', 'SS2-50'],
  ['L5-30', 'L5-30', 'L5-30', 'SS2-50'],
  ['L5-30', 'L5-30', 'SS1-50', 'SS2-50'],
  ['L5-30', 'SS2-50', 'SS2-50', 'PS-100-125/250-3P4W'],
];

const fitted30: GroundFault = { device: 'fitted', settingMa: 30, delayMs: 0 };
const unknownDevice: GroundFault = { device: 'unknown', settingMa: null, delayMs: null };

/**
 * An invented marina of so many berths and twice as many outlets: docks of 50 berths, one pedestal of four outlets for
 * two of them, one in five reaching the next pedestal too, a pair of slips let together and 40 m of face on each dock,
 * feeders of ten pedestals. One pedestal in forty has a ground-fault device that nobody has looked at.
 */
export function largeMarina(berthCount: number): Inventory {
  const docks: Dock[] = [];
  const equipment: Equipment[] = [
    part('service', 'service', null, { systemId: '480Y/277', breakerA: 4_000, busA: 4_000 }),
  ];
  const pedestals: Pedestal[] = [];
  const outlets: Outlet[] = [];
  const spaceUnits: SpaceUnit[] = [];
  const berths: Berth[] = [];

  for (let d = 0; d * berthsOfDock < berthCount; d++) {
    const dockId = `dock-${d}`;
    docks.push({ id: dockId, label: `D${d}`, kind: d % 3 === 0 ? 'fixed' : 'floating', lengthM: 200 });
    const threePhase = d % 4 === 3;
    equipment.push(
      part(`transformer-${d}`, 'transformer', 'service', {
        systemId: threePhase ? '208Y/120' : '120/240-split-phase',
        lines: threePhase ? null : (['L1', 'L2'] as const),
        transformer: {
          ratedKva: 300,
          connection: threePhase ? 'deltaWye' : 'centreTapped',
          percentR: 1.2,
          percentX: 3,
        },
      }),
    );
    const pedestalCount = berthsOfDock / 2;
    for (let p = 0; p < pedestalCount; p++) {
      const feederId = `feeder-${d}-${Math.floor(p / 10)}`;
      if (p % 10 === 0) {
        equipment.push(
          part(feederId, 'feeder', `transformer-${d}`, {
            breakerA: 400,
            conductorAmpacityA: 420,
            neutralAmpacityA: 420,
            conductor: { material: 'copper', size: '600', sizeUnit: 'kcmil', parallelSets: 1, lengthM: 30 + 5 * p },
          }),
        );
      }
      const id = `ped-${d}-${p}`;
      pedestals.push({ id, label: `P${d}-${p}`, dockId, fedById: feederId, alongDockM: 4 + p * 8 });
      const kind = pedestalKinds[p % pedestalKinds.length] ?? [];
      for (const [o, configurationId] of kind.entries()) {
        outlets.push({
          id: `${id}-${o}`,
          label: 'ABCD'[o] ?? '',
          pedestalId: id,
          fedById: null,
          configurationId,
          lines: linesOf(configurationId, p + o, threePhase),
          breakerA: Number(/-(30|50|100)/.exec(configurationId)?.[1]),
          groundFault: (d * pedestalCount + p) % 40 === 7 ? unknownDevice : fitted30,
          dedicatedBerthId: null,
          subMetered: false,
          heightM: 0.9,
        });
      }
    }

    const lengthM = 9 + (d % 7) * 2;
    const slipCount = berthsOfDock - 2;
    for (let s = 0; s < slipCount; s++) {
      const unitId = `unit-${d}-${s}`;
      spaceUnits.push({ id: unitId, label: unitId, dockId, kind: 'slip', faceLengthM: null });
      berths.push(
        berth(`berth-${d}-${s}`, [unitId], lengthM, 3.6 + (d % 7) * 0.4, slipReaches(d, s), {
          depthM: 2 + (s % 5) * 0.3,
          orientations: s % 4 === 0 ? ['bowIn'] : ['bowIn', 'sternIn'],
        }),
      );
    }
    berths.push(
      berth(`pair-${d}`, [`unit-${d}-0`, `unit-${d}-1`], lengthM, 2 * (3.6 + (d % 7) * 0.4), slipReaches(d, 0), {}),
    );
    const faceId = `face-${d}`;
    spaceUnits.push({ id: faceId, label: faceId, dockId, kind: 'face', faceLengthM: 40 });
    berths.push(
      berth(`face-${d}`, [faceId], 40, 6, faceReaches(d), { faceFromM: 0, faceUntilM: 40, mooring: 'alongside' }),
    );
  }
  return sampleInventory({
    name: 'Large Harbor',
    settings: { ...sampleSettings, countingBasis: 'all' },
    docks,
    equipment,
    pedestals,
    outlets,
    spaceUnits,
    berths: berths.slice(0, berthCount),
    adapterStock: [
      { id: 'stock-1', label: '50 to 30', adapterKindId: 'step-down-SS2-50-to-L5-30-breaker', quantity: 4 },
      { id: 'stock-2', label: '50 to two 30', adapterKindId: 'splitter-SS2-50-to-2xL5-30-breakers', quantity: 2 },
      { id: 'stock-3', label: '100 to 50', adapterKindId: 'step-down-PS-100-125-250-to-SS2-50', quantity: 1 },
    ],
  });
}

/** The given share of the slips held over the period, each with the outlet nearest by kind; the rest free. */
export function heldShare(
  inventory: Inventory,
  period: Period,
  share: number,
): { readonly spaceUses: SpaceUse[]; readonly outletUses: OutletUse[] } {
  const spaceUses: SpaceUse[] = [];
  const outletUses: OutletUse[] = [];
  const taken = new Set<string>();
  inventory.berths.forEach(({ id, unitIds, faceFromM, reaches }, i) => {
    const [unitId, another] = unitIds;
    if (unitId === undefined || another !== undefined || faceFromM !== null) return;
    if (((i * 37) % 100) / 100 >= share) return;
    const by = { kind: i % 5 === 0 ? 'assignment' : 'holding', id, label: `holder ${i}` } as const;
    spaceUses.push({ unitId, fromM: 0, untilM: 1, by, ...period });
    const outletId = reaches.map((reach) => reach.outletId).find((each) => !taken.has(each));
    if (outletId === undefined) return;
    taken.add(outletId);
    outletUses.push({ outletId, by, statedVa: i % 3 === 0 ? 2_400 : null, ...period });
  });
  return { spaceUses, outletUses };
}

function part(id: string, kind: Equipment['kind'], parentId: string | null, given: Partial<Equipment>): Equipment {
  return {
    id,
    label: id,
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
    groundFault: { device: 'none', settingMa: null, delayMs: null },
    otherLoads: [],
    earthing: 'groundedNeutral',
    ...given,
  };
}

function berth(
  id: string,
  unitIds: readonly string[],
  lengthM: number,
  beamM: number,
  reaches: readonly Reach[],
  given: Partial<Berth>,
): Berth {
  return {
    id,
    label: id,
    unitIds,
    faceFromM: null,
    faceUntilM: null,
    mooring: 'fingerPier',
    fingerOn: null,
    lengthM,
    beamM,
    depthM: 3,
    orientations: ['bowIn', 'sternIn'],
    reaches,
    ...given,
  };
}

const threeLines: readonly LineName[] = ['L1', 'L2', 'L3'];

function linesOf(configurationId: string, turn: number, threePhase: boolean): LineName[] {
  const lines = threePhase ? threeLines : threeLines.slice(0, 2);
  const at = (i: number) => lines[i % lines.length] ?? 'L1';
  if (configurationId === 'L5-30' || configurationId === 'SS1-50') return [at(turn)];
  return threePhase ? [at(turn), at(turn + 1)] : ['L1', 'L2'];
}

function slipReaches(dock: number, slip: number): Reach[] {
  const pedestal = Math.floor(slip / 2);
  const side = slip % 2 === 0 ? 1 : -1;
  const own = outletIds(dock, pedestal).map((outletId) => ({ outletId, alongM: 0.4, acrossM: 2 * side, detourM: 0 }));
  if (slip % 5 !== 0 || pedestal + 1 >= berthsOfDock / 2) return own;
  const next = outletIds(dock, pedestal + 1).slice(0, 2);
  return [...own, ...next.map((outletId) => ({ outletId, alongM: 0.4, acrossM: 10 * side, detourM: 1 }))];
}

function faceReaches(dock: number): Reach[] {
  return [20, 21, 22, 23].flatMap((pedestal, i) =>
    outletIds(dock, pedestal).map((outletId) => ({ outletId, alongM: 5 + i * 10, acrossM: 0.6, detourM: 0 })),
  );
}

function outletIds(dock: number, pedestal: number): string[] {
  return Array.from({ length: outletsOfPedestal }, (_, o) => `ped-${dock}-${pedestal}-${o}`);
}
