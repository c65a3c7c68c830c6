import fc from 'fast-check';
import type { OutletUse } from '../../../../core/berths/occupancy.ts';
import { type InventoryIndex, indexInventory } from '../../../../core/inventory/index-inventory.ts';
import type { Equipment, EquipmentKind, Outlet, Pedestal, Transformer } from '../../../../core/inventory/inventory.ts';
import type { LineName } from '../../../../core/standards/configuration.ts';
import type { DemandPractice } from '../../../../core/standards/demand-practice.ts';
import { sampleInventory, sampleSettings } from '../../../support/sample-inventory.ts';

/** A part with everything unknown but what is given. */
export function part(id: string, kind: EquipmentKind, parentId: string | null, given: Partial<Equipment>): Equipment {
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
    earthing: null,
    ...given,
  };
}

export function outletOn(
  fedById: string,
  id: string,
  configurationId: string,
  lines: readonly LineName[] | null,
): Outlet {
  return {
    id,
    label: id,
    pedestalId: 'pedestal',
    fedById,
    configurationId,
    lines,
    breakerA: null,
    groundFault: { device: 'none', settingMa: null, delayMs: null },
    dedicatedBerthId: null,
    subMetered: false,
    heightM: null,
  };
}

export function marinaOf(
  equipment: readonly Equipment[],
  outlets: readonly Outlet[],
  refusingBasis: 'rated' | 'stated' = 'rated',
): InventoryIndex {
  const pedestal: Pedestal = {
    id: 'pedestal',
    label: 'pedestal',
    dockId: 'dock-a',
    fedById: equipment[0]?.id ?? '',
    alongDockM: null,
  };
  return indexInventory(
    sampleInventory({
      settings: { ...sampleSettings, refusingBasis },
      equipment,
      pedestals: [pedestal],
      outlets,
      berths: [],
    }),
  );
}

export function use(outletId: string, from: number, until: number, statedVa: number | null = null): OutletUse {
  return { outletId, from, until, statedVa, by: { kind: 'assignment', id: `${outletId} ${from}`, label: outletId } };
}

const patterns: Record<string, readonly (readonly [string, number])[]> = {
  '120/240-split-phase': [
    ['L5-30', 1],
    ['SS1-50', 1],
    ['SS2-50', 2],
    ['L6-30', 2],
  ],
  '208Y/120': [
    ['L5-30', 1],
    ['SS2-50', 2],
    ['L6-30', 2],
    ['PS-100-120/208-4P5W', 3],
  ],
  '240/120-high-leg-delta': [
    ['L5-30', 1],
    ['SS2-50', 2],
    ['L6-30', 2],
  ],
  '480Y/277': [['PS-60-480-3P4W', 3]],
  '480-delta': [['PS-60-480-3P4W', 3]],
};

const secondaries: readonly (readonly [string, Transformer['connection']])[] = [
  ['120/240-split-phase', 'centreTapped'],
  ['208Y/120', 'deltaWye'],
  ['208Y/120', 'wyeWye'],
  ['240/120-high-leg-delta', 'highLegBank'],
];

const anyOutlet = fc.record({ pattern: fc.nat(3), turn: fc.nat(2), known: fc.boolean() });
const anyLimit = fc.option(fc.integer({ min: 20, max: 500 }), { nil: null });
const anyBranch = fc.record({
  secondary: fc.option(fc.nat(3), { nil: null }),
  primary: fc.nat(3),
  lighting: fc.nat(2000),
  limits: fc.tuple(anyLimit, anyLimit, anyLimit, anyLimit),
  outlets: fc.array(anyOutlet, { minLength: 1, maxLength: 6 }),
});

const threeLines: readonly LineName[] = ['L1', 'L2', 'L3'];
const pairs: readonly (readonly LineName[])[] = [
  ['L1', 'L2'],
  ['L2', 'L3'],
  ['L1', 'L3'],
];

export interface RandomOptions {
  /** Every outlet's lines and every transformer's connection and primary lines are known, and no high-leg bank. */
  readonly everythingKnown: boolean;
}

/** A small tree: a service, up to three branches, each perhaps behind a transformer, with outlets. */
export function anyMarina({ everythingKnown }: RandomOptions): fc.Arbitrary<InventoryIndex> {
  return fc
    .record({
      service: fc.constantFrom('480Y/277', '480-delta', '208Y/120', '120/240-split-phase'),
      branches: fc.array(anyBranch, { minLength: 1, maxLength: 3 }),
    })
    .map(({ service, branches }) => {
      const equipment: Equipment[] = [part('service', 'service', null, { systemId: service, breakerA: 300 })];
      const outlets: Outlet[] = [];
      for (const [b, branch] of branches.entries()) {
        const threePhase = service !== '120/240-split-phase';
        const choices = everythingKnown ? secondaries.slice(0, 3) : secondaries;
        const chosen = branch.secondary === null ? undefined : choices[branch.secondary % choices.length];
        let systemId: string = service;
        let parentId = 'service';
        if (chosen !== undefined && (threePhase || chosen[1] === 'centreTapped')) {
          const [secondary, connection] = chosen;
          const lines = connection === 'centreTapped' && threePhase ? (pairs[branch.primary] ?? null) : null;
          const known = !everythingKnown || lines !== null || connection !== 'centreTapped' || !threePhase;
          systemId = secondary;
          parentId = `transformer-${b}`;
          equipment.push(
            part(parentId, 'transformer', 'service', {
              systemId,
              lines: known ? lines : ['L1', 'L3'],
              transformer: { ratedKva: branch.limits[0], connection, percentR: null, percentX: null },
            }),
          );
        }
        const [breakerA, conductorAmpacityA, neutralAmpacityA, busA] = branch.limits;
        equipment.push(
          part(`feeder-${b}`, 'feeder', parentId, {
            breakerA,
            conductorAmpacityA,
            neutralAmpacityA,
            busA,
            otherLoads: [{ label: 'lighting', loadVa: { L1: branch.lighting } }],
          }),
        );
        for (const [o, { pattern, turn, known }] of branch.outlets.entries()) {
          const ofSystem = patterns[systemId] ?? [];
          const [configurationId, contacts] = ofSystem[pattern % ofSystem.length] ?? ['L5-30', 1];
          const lines = linesFor(contacts, turn, systemId === '120/240-split-phase');
          outlets.push(
            outletOn(`feeder-${b}`, `o-${b}-${o}`, configurationId, known || everythingKnown ? lines : null),
          );
        }
      }
      return marinaOf(equipment, outlets);
    });
}

function linesFor(contacts: number, turn: number, splitPhase: boolean): readonly LineName[] {
  if (contacts === 3) return threeLines;
  if (contacts === 2) return splitPhase ? ['L1', 'L2'] : (pairs[turn] ?? ['L1', 'L2']);
  return [threeLines[splitPhase ? turn % 2 : turn] ?? 'L1'];
}

export function anyUses(index: InventoryIndex): fc.Arbitrary<OutletUse[]> {
  const kind = fc.constantFrom('assignment' as const, 'holding' as const, 'outOfService' as const);
  return fc.array(
    fc
      .record({
        outlet: fc.constantFrom(...index.inventory.outlets),
        from: fc.nat(20),
        length: fc.integer({ min: 1, max: 12 }),
        statedVa: fc.option(fc.nat(15000), { nil: null }),
        kind,
      })
      .map(({ outlet, from, length, statedVa, kind: by }) => ({
        ...use(outlet.id, from, from + length, statedVa),
        by: { kind: by, id: outlet.id, label: outlet.label },
      })),
    { maxLength: 14 },
  );
}

function practiceWith(factors: readonly number[], rowLength: number): DemandPractice {
  return {
    id: 'random',
    name: 'random',
    rows: factors.map((factor, i) => ({
      from: i * rowLength + 1,
      to: i === factors.length - 1 ? null : (i + 1) * rowLength,
      factor,
    })),
    subMeterFactor: null,
    twoVoltageRule: true,
    notes: [],
    source: { title: 'random', fromMemory: false },
  };
}

/** Short rows, so that small marinas cross steps; factors fall or rise as they come. */
export const anyPractice: fc.Arbitrary<DemandPractice> = fc
  .record({
    factors: fc.array(fc.constantFrom(1, 0.9, 0.8, 0.6, 0.4, 0.3), { minLength: 1, maxLength: 5 }),
    rowLength: fc.integer({ min: 1, max: 3 }),
  })
  .map(({ factors, rowLength }) => practiceWith(factors, rowLength));

export const everyRating = practiceWith([1], 1);
