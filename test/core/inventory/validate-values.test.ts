import { describe, expect, it } from 'vitest';
import type { Inventory } from '../../../core/inventory/inventory.ts';
import { validateInventory } from '../../../core/inventory/validate.ts';
import { sampleInventory, sampleSettings, withPatched } from '../../support/sample-inventory.ts';

const legal = sampleInventory();

function found(inventory: Inventory): string[] {
  return validateInventory(inventory).map(({ pointer, rule }) => `${pointer} ${rule}`);
}

function withSettings(patch: Partial<Inventory['settings']>): Inventory {
  return sampleInventory({ settings: { ...sampleSettings, ...patch } });
}

function withPractice(patch: Partial<Inventory['practices'][number]>): Inventory {
  return sampleInventory({ practices: legal.practices.map((practice) => ({ ...practice, ...patch })) });
}

function withKind(patch: Partial<Inventory['adapterKinds'][number]>): Inventory {
  return sampleInventory({ adapterKinds: legal.adapterKinds.map((kind) => ({ ...kind, ...patch })) });
}

const nan = Number.NaN;
const tide = (from: string, until: string, heightM = 0) => ({ from, until, heightM });
const rows = (...list: [number, number | null, number][]) => list.map(([from, to, factor]) => ({ from, to, factor }));

describe('validateInventory on values', () => {
  const cases: [string, Inventory, string[]][] = [
    // Quantities: NaN is what an empty column becomes.
    ['a breaker of 0 A', withPatched(legal, 'outlets', 'a1a', { breakerA: 0 }), ['/outlets/0/breakerA quantity']],
    ['a height of no number', withPatched(legal, 'outlets', 'a1a', { heightM: nan }), ['/outlets/0/heightM quantity']],
    [
      'a ground-fault setting below zero',
      withPatched(legal, 'outlets', 'a1a', { groundFault: { device: 'fitted', settingMa: -30, delayMs: 0 } }),
      ['/outlets/0/groundFault/settingMa quantity'],
    ],
    [
      'limits that are none',
      withPatched(legal, 'equipment', 'feeder-a2', {
        breakerA: -1,
        conductorAmpacityA: nan,
        neutralAmpacityA: 0,
        busA: Infinity,
      }),
      ['breakerA', 'conductorAmpacityA', 'neutralAmpacityA', 'busA'].map((name) => `/equipment/4/${name} quantity`),
    ],
    [
      'a conductor of no set',
      withPatched(legal, 'equipment', 'feeder-a2', {
        conductor: { material: 'copper', size: 'thick', sizeUnit: 'mm2', parallelSets: 0, lengthM: -1 },
      }),
      ['parallelSets', 'lengthM', 'size'].map((name) => `/equipment/4/conductor/${name} quantity`),
    ],
    [
      'a transformer of 0 kVA',
      withPatched(legal, 'equipment', 'xfmr-a', {
        transformer: { ratedKva: 0, connection: 'centreTapped', percentR: -1, percentX: nan },
      }),
      ['ratedKva', 'percentR', 'percentX'].map((name) => `/equipment/1/transformer/${name} quantity`),
    ],
    [
      'a load below zero',
      withPatched(legal, 'equipment', 'panel-a', { otherLoads: [{ label: 'lift', loadVa: { L1: -500 } }] }),
      ['/equipment/2/otherLoads/0/loadVa/L1 quantity'],
    ],
    ['a dock of no length', withPatched(legal, 'docks', 'dock-b', { lengthM: 0 }), ['/docks/1/lengthM quantity']],
    [
      'a pedestal ashore',
      withPatched(legal, 'pedestals', 'ped-a1', { alongDockM: -1 }),
      ['/pedestals/0/alongDockM quantity'],
    ],
    [
      'a berth of no size',
      withPatched(legal, 'berths', 'A1', { lengthM: 0, beamM: -1, depthM: nan }),
      ['lengthM', 'beamM', 'depthM'].map((name) => `/berths/0/${name} quantity`),
    ],
    ['a berth that dries', withPatched(legal, 'berths', 'A1', { depthM: -0.4 }), []],
    [
      'a detour below zero',
      withPatched(legal, 'berths', 'B1', { reaches: [{ outletId: 'b1a', alongM: -2, acrossM: -1, detourM: -1 }] }),
      ['/berths/7/reaches/0/detourM quantity'],
    ],
    [
      'half an adapter',
      withPatched(legal, 'adapterStock', 'stock-step-down', { quantity: 0.5 }),
      ['/adapterStock/0/quantity quantity'],
    ],
    [
      'settings below zero',
      withSettings({ cordSlackM: -1, turnoverMinutes: nan, lowestTideM: Infinity }),
      ['cordSlackM', 'turnoverMinutes', 'lowestTideM'].map((name) => `/settings/${name} quantity`),
    ],
    [
      'hours that are none',
      withSettings({ arrivalHour: 24, departureHour: 9.5 }),
      ['/settings/arrivalHour quantity', '/settings/departureHour quantity'],
    ],
    [
      'cord lengths out of order',
      withSettings({ usualCordLengthsM: [7, 5, 0] }),
      [
        '/settings/usualCordLengthsM/1 quantity',
        '/settings/usualCordLengthsM/2 quantity',
        '/settings/usualCordLengthsM/2 quantity',
      ],
    ],
    // Tides.
    [
      'a tide that ends before it starts',
      withSettings({ predictedLowTides: [tide('2030-06-02', '2030-06-02')] }),
      ['/settings/predictedLowTides/0/until period'],
    ],
    [
      'a tide on no day',
      withSettings({ predictedLowTides: [tide('2030-02-29', '2030-3-1')] }),
      ['/settings/predictedLowTides/0/from period', '/settings/predictedLowTides/0/until period'],
    ],
    [
      'tides that overlap, in any order',
      withSettings({ predictedLowTides: [tide('2030-06-08', '2030-06-15'), tide('2030-06-01', '2030-06-09')] }),
      ['/settings/predictedLowTides/0/from period'],
    ],
    [
      'a long tide over two short ones',
      withSettings({
        predictedLowTides: [
          tide('2030-06-01', '2030-07-01'),
          tide('2030-06-02', '2030-06-03'),
          tide('2030-06-05', '2030-06-06'),
        ],
      }),
      ['/settings/predictedLowTides/1/from period', '/settings/predictedLowTides/2/from period'],
    ],
    // Own practices.
    ['a practice without rows', withPractice({ rows: [] }), ['/practices/0/rows practiceRows']],
    [
      'rows with a gap',
      withPractice({ rows: rows([1, 4, 1], [6, null, 0.9]) }),
      ['/practices/0/rows/1/from practiceRows'],
    ],
    ['rows from 2 on', withPractice({ rows: rows([2, null, 1]) }), ['/practices/0/rows/0/from practiceRows']],
    ['a closed last row', withPractice({ rows: rows([1, 4, 1]) }), ['/practices/0/rows/0/to practiceRows']],
    [
      'an open row in between',
      withPractice({ rows: rows([1, null, 1], [2, null, 0.9]) }),
      ['/practices/0/rows/0/to practiceRows'],
    ],
    [
      'factors that are none',
      withPractice({ rows: rows([1, 4, 70], [5, 8, 0], [9, null, nan]), subMeterFactor: 1.1 }),
      [
        '/practices/0/rows/0/factor practiceRows',
        '/practices/0/rows/1/factor practiceRows',
        '/practices/0/rows/2/factor practiceRows',
        '/practices/0/subMeterFactor practiceRows',
      ],
    ],
    ['an id that is built in', withPractice({ id: 'nec-555-2020' }), ['/practices/0/id builtInId']],
    // Own adapter kinds.
    [
      'a fitting of no configuration',
      withKind({ plugs: [{ id: 'P1', configurationId: 'SS2-51' }] }),
      ['/adapterKinds/0/plugs/0/configurationId unknownReference'],
    ],
    [
      'two fittings of one id',
      withKind({
        connectors: [
          { id: 'C1', configurationId: 'L5-30' },
          { id: 'P1', configurationId: 'L5-30' },
        ],
      }),
      ['/adapterKinds/0/connectors/1/id adapterFitting'],
    ],
    [
      'a conductor to nowhere',
      withKind({ connectors: [{ id: 'C2', configurationId: 'L5-30' }] }),
      ['0', '1', '2'].map((i) => `/adapterKinds/0/conductors/${i}/to/fitting adapterFitting`),
    ],
    [
      'a contact that is not there',
      withKind({ connectors: [{ id: 'C1', configurationId: 'L6-30' }] }),
      ['/adapterKinds/0/conductors/1/to/terminal adapterFitting'],
    ],
    ['no connector', withKind({ connectors: [], conductors: [] }), ['/adapterKinds/0/connectors adapterFitting']],
  ];
  it.each(cases)('names %s', (_, inventory, expected) => {
    expect(found(inventory)).toEqual(expected);
  });
});
