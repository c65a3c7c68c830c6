import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { expandPatterns, readInventoryDocument } from '../../../core/inventory/expand-patterns.ts';
import type { PedestalPattern } from '../../../core/inventory/patterns.ts';
import { validateInventory } from '../../../core/inventory/validate.ts';
import { sampleInventory } from '../../support/sample-inventory.ts';

const fitted30 = { device: 'fitted', settingMa: 30, delayMs: 0 } as const;
const outlet = {
  id: 'C{p}{a}',
  label: '{a}',
  count: 1,
  breakerA: 30,
  groundFault: fitted30,
  subMetered: false,
  heightM: 0.9,
};

/** "40 pedestals on dock C, every 6 m from 3 m on, two 30 A, one 50 A and one 20 A each, lines in turn." */
const pattern: PedestalPattern = {
  dockId: 'dock-c',
  count: 40,
  firstNumber: 1,
  firstAlongM: 3,
  spacingM: 6,
  fedById: 'feeder-b1',
  pedestal: { id: 'ped-c{n}', label: 'C{n}' },
  branchCircuit: {
    id: 'bc-c{p}',
    label: 'BC C{p}',
    breakerA: 100,
    conductorAmpacityA: 100,
    neutralAmpacityA: null,
    conductor: { material: 'copper', size: '3', sizeUnit: 'AWG', parallelSets: 1, lengthM: 10 },
    groundFault: { device: 'none', settingMa: null, delayMs: null },
  },
  outlets: [
    { ...outlet, count: 2, configurationId: 'L5-30', lineTurns: [['L1'], ['L2'], ['L3']] },
    {
      ...outlet,
      configurationId: 'SS2-50',
      breakerA: 50,
      lineTurns: [
        ['L1', 'L2'],
        ['L2', 'L3'],
        ['L3', 'L1'],
      ],
    },
    { ...outlet, configurationId: '5-20', breakerA: 20, lineTurns: null },
  ],
  firstBerthNumber: 101,
  berths: [1, 2].map((side) => ({
    id: 'C{n}',
    label: 'C{n}',
    lengthM: 12,
    beamM: 4.2,
    depthM: 2.5,
    mooring: 'fingerPier' as const,
    fingerOn: side === 1 ? ('right' as const) : ('left' as const),
    orientations: ['bowIn', 'sternIn'] as const,
    reach: { alongM: 0.5, acrossM: side === 1 ? -2 : 2, detourM: 0 },
  })),
};
const dockC = { id: 'dock-c', label: 'C', kind: 'fixed', lengthM: 260 } as const;
const sample = sampleInventory({ docks: [...sampleInventory().docks, dockC] });

function documentOf(...patterns: PedestalPattern[]) {
  return { ...sample, patterns };
}

function faultsOf(patch: Partial<PedestalPattern>): string[] {
  return readInventoryDocument(documentOf({ ...pattern, ...patch })).faults.map(
    ({ pointer, rule }) => `${pointer} ${rule}`,
  );
}

describe('expandPatterns', () => {
  const { inventory, faults } = expandPatterns(documentOf(pattern));

  it('leaves a document without patterns as it is', () => {
    expect(expandPatterns(sample).inventory).toEqual(sample);
  });

  it('makes a legal inventory without patterns', () => {
    expect(faults).toEqual([]);
    expect(validateInventory(inventory)).toEqual([]);
    expect(inventory).not.toHaveProperty('patterns');
  });

  it('makes what its words say', () => {
    expect(inventory.pedestals.length - sample.pedestals.length).toBe(40);
    expect(inventory.outlets.length - sample.outlets.length).toBe(160);
    expect(inventory.berths.length - sample.berths.length).toBe(80);
    expect(inventory.equipment.length - sample.equipment.length).toBe(40);
    expect(inventory.pedestals.at(-1)).toEqual({
      id: 'ped-c40',
      label: 'C40',
      dockId: 'dock-c',
      fedById: 'bc-c40',
      alongDockM: 3 + 39 * 6,
    });
    expect(inventory.equipment.at(-1)).toMatchObject({
      id: 'bc-c40',
      parentId: 'feeder-b1',
      conductor: { lengthM: 10 + 39 * 6 },
    });
  });

  it('takes lines in turn along the dock', () => {
    const lines = (id: string) => inventory.outlets.find((found) => found.id === id)?.lines;
    expect(['C1A', 'C1B', 'C2A', 'C2B', 'C3A'].map(lines)).toEqual([['L1'], ['L2'], ['L3'], ['L1'], ['L2']]);
    expect(['C1C', 'C2C', 'C3C', 'C4C'].map(lines)).toEqual([
      ['L1', 'L2'],
      ['L2', 'L3'],
      ['L3', 'L1'],
      ['L1', 'L2'],
    ]);
    expect(lines('C1D')).toBeNull();
  });

  it('numbers berths along the dock, each reaching the shore power of its pedestal', () => {
    const last = inventory.berths.at(-1);
    expect(last).toMatchObject({ id: 'C180', label: 'C180', unitIds: ['C180'] });
    // 20 A outlets are no shore power (NEC 555.33): the slip does not list them.
    expect(last?.reaches).toEqual(
      ['C40A', 'C40B', 'C40C'].map((outletId) => ({ outletId, alongM: 0.5, acrossM: 2, detourM: 0 })),
    );
  });

  it('makes the same of the same', () => {
    expect(expandPatterns(documentOf(pattern)).inventory).toEqual(inventory);
  });

  it('keeps metres that people read', () => {
    const { inventory: fine } = expandPatterns(documentOf({ ...pattern, firstAlongM: 0.1, spacingM: 0.1 }));
    expect(fine.pedestals.at(-38)?.alongDockM).toBe(0.3);
  });
});

describe('readInventoryDocument', () => {
  it('points faults of plain items where they stand', () => {
    const outlets = sample.outlets.map((found, i) => (i === 3 ? { ...found, breakerA: -1 } : found));
    const { faults } = readInventoryDocument({ ...documentOf(pattern), outlets });
    expect(faults.map(({ pointer }) => pointer)).toEqual(['/outlets/3/breakerA']);
  });

  const [thirty, fifty] = pattern.outlets;
  const [slip] = pattern.berths;
  if (thirty === undefined || fifty === undefined || slip === undefined) throw new Error('the pattern lacks a part');
  const cases: [string, Partial<PedestalPattern>, string[]][] = [
    ['no pedestal', { count: 0 }, ['/patterns/0/count pattern']],
    ['too many pedestals', { count: 4000 }, ['/patterns/0/count pattern']],
    [
      'half a number',
      { firstNumber: 1.5, firstBerthNumber: Number.NaN },
      ['/patterns/0/firstNumber pattern', '/patterns/0/firstBerthNumber pattern'],
    ],
    [
      'a distance of no number',
      { spacingM: Number.NaN, firstAlongM: -1 },
      ['/patterns/0/firstAlongM quantity', '/patterns/0/spacingM quantity'],
    ],
    [
      'a placeholder that means nothing',
      { pedestal: { id: 'ped-c{m}', label: 'C{n' } },
      ['/patterns/0/pedestal/id pattern', '/patterns/0/pedestal/label pattern'],
    ],
    ['an id with a blank', { pedestal: { id: 'ped c{n}', label: 'C{n}' } }, ['/patterns/0/pedestal/id pattern']],
    ['no turn of lines', { outlets: [{ ...thirty, lineTurns: [] }] }, ['/patterns/0/outlets/0/lineTurns pattern']],
    [
      'more outlets than letters',
      {
        outlets: [
          { ...thirty, count: 20 },
          { ...fifty, count: 20 },
        ],
      },
      ['/patterns/0/outlets pattern'],
    ],
    ['a dock that is not there', { dockId: 'x' }, ['/patterns/0/dockId unknownReference']],
    ['a feeder that is not there', { fedById: 'x' }, ['/patterns/0/fedById unknownReference']],
    [
      'a feeder that is not there, without branch circuits',
      { fedById: 'x', branchCircuit: null },
      ['/patterns/0/fedById unknownReference'],
    ],
    [
      'a line that the feeder lacks',
      { fedById: 'feeder-a1' },
      [
        '/patterns/0/outlets/0/lineTurns/2/0 lineNotSupplied',
        '/patterns/0/outlets/1/lineTurns/1/1 lineNotSupplied',
        '/patterns/0/outlets/1/lineTurns/2/0 lineNotSupplied',
      ],
    ],
    [
      'a turn of too many lines',
      { outlets: [{ ...thirty, lineTurns: [['L1'], ['L1', 'L2']] }] },
      ['/patterns/0/outlets/0/lineTurns/1 lineCount'],
    ],
    [
      'a configuration that is not there',
      { outlets: [{ ...thirty, configurationId: 'x' }] },
      ['/patterns/0/outlets/0/configurationId unknownReference'],
    ],
    ['a breaker below zero', { outlets: [{ ...thirty, breakerA: -30 }] }, ['/patterns/0/outlets/0/breakerA quantity']],
    [
      'one id for all pedestals',
      { count: 2, pedestal: { id: 'ped-c', label: 'C{n}' } },
      [
        '/patterns/0/pedestal/id duplicateId',
        '/patterns/0/outlets/0/label duplicateLabel',
        '/patterns/0/outlets/1/label duplicateLabel',
        '/patterns/0/outlets/2/label duplicateLabel',
      ],
    ],
    [
      'one id for two outlets',
      { outlets: [{ ...thirty, id: 'C{p}' }] },
      [
        '/patterns/0/outlets/0/id duplicateId',
        '/patterns/0/berths/0/reach reachTwice',
        '/patterns/0/berths/1/reach reachTwice',
      ],
    ],
    [
      'ids that plain items have',
      { count: 1, outlets: [], firstBerthNumber: 1, berths: [{ ...slip, id: 'A{n}', reach: null }] },
      ['/patterns/0/berths/0/id duplicateId'],
    ],
    ['a berth of no beam', { berths: [{ ...slip, beamM: 0 }] }, ['/patterns/0/berths/0/beamM quantity']],
    [
      'a conductor of no set',
      {
        branchCircuit: pattern.branchCircuit && {
          ...pattern.branchCircuit,
          conductor: { material: 'copper', size: '3', sizeUnit: 'AWG', parallelSets: 0, lengthM: null },
        },
      },
      ['/patterns/0/branchCircuit/conductor/parallelSets quantity'],
    ],
  ];
  it.each(cases)('points into the pattern, once: %s', (_, patch, expected) => {
    expect(faultsOf(patch)).toEqual(expected);
  });

  it('names a clash of two patterns in the later one', () => {
    const { faults } = readInventoryDocument(documentOf(pattern, { ...pattern, outlets: [], berths: [] }));
    expect(faults.map(({ pointer }) => pointer).sort()).toEqual([
      '/patterns/1/branchCircuit/id',
      '/patterns/1/branchCircuit/label',
      '/patterns/1/pedestal/id',
      '/patterns/1/pedestal/label',
    ]);
  });

  it('finds no fault in what any legal pattern makes', () => {
    const metres = fc.double({ min: 0.5, max: 30, noNaN: true });
    const legalPattern = fc.record({
      count: fc.integer({ min: 1, max: 60 }),
      firstNumber: fc.integer({ min: 0, max: 5000 }),
      firstBerthNumber: fc.integer({ min: 0, max: 5000 }),
      firstAlongM: metres,
      spacingM: metres,
      branchCircuit: fc.constantFrom(null, pattern.branchCircuit),
      outlets: fc.array(
        fc
          .constantFrom(...pattern.outlets)
          .chain((kind) => fc.integer({ min: 1, max: 5 }).map((count) => ({ ...kind, count }))),
        { maxLength: 5 },
      ),
      berths: fc.array(fc.constantFrom(...pattern.berths), { maxLength: 5 }),
    });
    fc.assert(
      fc.property(legalPattern, (patch) => {
        const made = expandPatterns(documentOf({ ...pattern, ...patch }));
        expect(made.faults).toEqual([]);
        expect(validateInventory(made.inventory)).toEqual([]);
        const outletsAtPedestal = patch.outlets.reduce((sum, { count }) => sum + count, 0);
        expect(made.inventory.outlets.length).toBe(sample.outlets.length + patch.count * outletsAtPedestal);
        expect(made.inventory.berths.length).toBe(sample.berths.length + patch.count * patch.berths.length);
      }),
      { numRuns: 60 },
    );
  });
});
