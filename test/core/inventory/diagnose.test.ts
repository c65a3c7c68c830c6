import { describe, expect, it } from 'vitest';
import { diagnoseInventory, inventoryChecks } from '../../../core/inventory/diagnose.ts';
import { indexInventory } from '../../../core/inventory/index-inventory.ts';
import type { Inventory } from '../../../core/inventory/inventory.ts';
import { validateInventory } from '../../../core/inventory/validate.ts';
import { sampleInventory, withPatched } from '../../support/sample-inventory.ts';

const legal = sampleInventory();

/** What one check says, as `subject level actual limit`. Every marina diagnosed is a legal one. */
function says(name: string, inventory: Inventory): string[] {
  expect(validateInventory(inventory)).toEqual([]);
  const check = inventoryChecks.find((found) => found.name === name);
  if (check === undefined) throw new Error(`no check "${name}"`);
  return check
    .check(indexInventory(inventory))
    .map(({ subject, level, actual, limit }) => `${subject.id} ${level} ${actual} ${limit}`);
}

const breakers = (breakerA: number | null, conductorAmpacityA: number | null) =>
  withPatched(legal, 'equipment', 'feeder-a2', { breakerA, conductorAmpacityA });
const copper3 = { material: 'copper', size: '3', sizeUnit: 'AWG', parallelSets: 1, lengthM: 10 } as const;
const fitted = (settingMa: number | null) => ({ device: 'fitted', settingMa, delayMs: 0 }) as const;

/** The dock B supply made another: 400Y/230 V, or a high-leg delta. */
function withSystemB(systemId: string, configurationId: string): Inventory {
  const inventory = withPatched(legal, 'equipment', 'xfmr-b', { systemId });
  return withPatched(inventory, 'outlets', 'b2a', { configurationId });
}

describe('diagnoseInventory', () => {
  const cases: [string, string, Inventory, string[]][] = [
    // NEC 240.4(B) and 240.6(A): 3 AWG copper carries 100 A at 75 C; 105 A may have 110 A, 100 A may have 100 A.
    ['the next standard size', 'demand.breakerAboveConductor', breakers(110, 105), []],
    [
      'a standard ampacity and one size more',
      'demand.breakerAboveConductor',
      breakers(110, 100),
      ['feeder-a2 caution 110 100'],
    ],
    [
      'two sizes above the conductor',
      'demand.breakerAboveConductor',
      breakers(125, 105),
      ['feeder-a2 caution 125 110'],
    ],
    // NEC 240.4(C): above 800 A no rounding up.
    ['a large breaker rounded up', 'demand.breakerAboveConductor', breakers(1000, 900), ['feeder-a2 caution 1000 900']],
    ['an unknown conductor', 'demand.breakerAboveConductor', breakers(125, null), []],
    // NEC Table 310.16: 3 AWG copper 100 A at 75 C.
    [
      'an ampacity as in the table',
      'demand.ampacityAboveTable',
      withPatched(legal, 'equipment', 'feeder-a2', { conductorAmpacityA: 100, conductor: copper3 }),
      [],
    ],
    [
      'an ampacity above the table',
      'demand.ampacityAboveTable',
      withPatched(legal, 'equipment', 'feeder-a2', { conductorAmpacityA: 115, conductor: copper3 }),
      ['feeder-a2 caution 115 100'],
    ],
    [
      'two sets in parallel',
      'demand.ampacityAboveTable',
      withPatched(legal, 'equipment', 'feeder-a2', {
        conductorAmpacityA: 200,
        conductor: { ...copper3, parallelSets: 2 },
      }),
      [],
    ],
    [
      'a size that is in no table',
      'demand.conductorNotInTable',
      withPatched(legal, 'equipment', 'feeder-a2', { conductor: { ...copper3, size: '250' } }),
      ['feeder-a2 note 250 AWG null'],
    ],
    [
      'a metric size',
      'demand.conductorNotInTable',
      withPatched(legal, 'equipment', 'feeder-a2', { conductor: { ...copper3, size: '35', sizeUnit: 'mm2' } }),
      [],
    ],
    // Limits.
    ['a feeder without limits', 'demand.notAssessed', legal, ['feeder-a2 confirm null null']],
    ['one limit is enough', 'demand.notAssessed', withPatched(legal, 'equipment', 'feeder-a2', { busA: 100 }), []],
    [
      'a transformer of unknown kVA',
      'demand.transformerRatingUnknown',
      withPatched(legal, 'equipment', 'xfmr-a', { transformer: null }),
      ['xfmr-a confirm null null'],
    ],
    ['known kVA', 'demand.transformerRatingUnknown', legal, []],
    ['a feeder above its panel', 'demand.breakerAboveParent', breakers(450, null), ['feeder-a2 caution 450 400']],
    [
      'breakers on both sides of a transformer',
      'demand.breakerAboveParent',
      withPatched(legal, 'equipment', 'panel-b', { breakerA: 900 }),
      [],
    ],
    [
      'a parent that is unknown, its own above it known',
      'demand.breakerAboveParent',
      withPatched(
        withPatched(legal, 'equipment', 'feeder-b1', { parentId: 'feeder-a2', lines: ['L1', 'L2'], breakerA: 450 }),
        'pedestals',
        'ped-b2',
        { fedById: 'panel-b' },
      ),
      ['feeder-b1 caution 450 400'],
    ],
    [
      'an outlet above its feed',
      'demand.outletBreakerAboveFeed',
      withPatched(legal, 'equipment', 'feeder-b1', { breakerA: 40 }),
      ['b1b caution 50 40', 'b2b caution 50 40', 'b2c caution 100 40'],
    ],
    // NEC 555.35 (2020 on): 30 mA at each shore-power receptacle, 100 mA at feeders.
    ['30 mA at an outlet', 'outlet.groundFaultSetting', legal, []],
    [
      '100 mA at an outlet',
      'outlet.groundFaultSetting',
      withPatched(legal, 'outlets', 'a1a', { groundFault: fitted(100) }),
      ['a1a caution 100 30'],
    ],
    [
      '100 mA at a feeder',
      'demand.groundFaultSetting',
      withPatched(legal, 'equipment', 'feeder-a2', { groundFault: fitted(100) }),
      [],
    ],
    [
      '300 mA at a feeder',
      'demand.groundFaultSetting',
      withPatched(legal, 'equipment', 'feeder-a2', { groundFault: fitted(300) }),
      ['feeder-a2 caution 300 100'],
    ],
    ['an unknown device at a feeder', 'demand.groundFaultSetting', legal, ['feeder-a2 confirm null null']],
    ['an unknown device at an outlet', 'outlet.groundFaultUnknown', legal, ['a4b confirm null null']],
    [
      'no device, and no setting',
      'outlet.groundFaultUnknown',
      withPatched(
        withPatched(legal, 'outlets', 'a1a', { groundFault: { device: 'none', settingMa: null, delayMs: null } }),
        'outlets',
        'a4b',
        { groundFault: fitted(null) },
      ),
      ['a1a caution none null', 'a4b confirm null null'],
    ],
    // Outlets.
    ['an unknown line', 'outlet.linesUnknown', legal, ['a4a confirm null null']],
    [
      'an unknown breaker',
      'outlet.breakerUnknown',
      withPatched(legal, 'outlets', 'a1a', { breakerA: null }),
      ['a1a confirm null null'],
    ],
    [
      'a 50 A breaker before 30 A',
      'outlet.breakerAboveRating',
      withPatched(legal, 'outlets', 'a1a', { breakerA: 50 }),
      ['a1a caution 50 30'],
    ],
    [
      'a 30 A breaker before 50 A',
      'outlet.breakerBelowRating',
      withPatched(legal, 'outlets', 'a1c', { breakerA: 30 }),
      ['a1c caution 50 30'],
    ],
    ['breakers as rated', 'outlet.breakerAboveRating', legal, []],
    ['breakers as rated, from below', 'outlet.breakerBelowRating', legal, []],
    // Derived: the high leg of a 240/120 V delta stands at 120 x root 3 = 208 V to neutral.
    [
      'an outlet on a high leg',
      'outlet.lineToNeutralVoltage',
      withPatched(withSystemB('240/120-high-leg-delta', 'L5-30'), 'outlets', 'b1a', { lines: ['L2'] }),
      expect.arrayContaining(['b1a refuse 208 120']),
    ],
    ['an outlet beside the high leg', 'outlet.lineToNeutralVoltage', legal, []],
    [
      'a 125 V outlet on 230 V',
      'outlet.lineToNeutralVoltage',
      withSystemB('400Y/230', 'L5-30'),
      expect.arrayContaining(['b2a refuse 230 120']),
    ],
    // BS 7671, 709.411.4.
    [
      'neutral and earth combined',
      'outlet.combinedNeutralEarth',
      withPatched(legal, 'equipment', 'xfmr-b', { earthing: 'TN-C-S' }),
      ['xfmr-b refuse TN-C-S null'],
    ],
    [
      'combined above a transformer of its own earthing',
      'outlet.combinedNeutralEarth',
      withPatched(legal, 'equipment', 'svc', { earthing: 'TN-C-S' }),
      [],
    ],
    [
      'earthing that nobody has stated',
      'outlet.combinedNeutralEarth',
      withPatched(legal, 'equipment', 'xfmr-a', { earthing: null }),
      ['xfmr-a confirm null null'],
    ],
    // NEC 555.33: 20 A 125 V outlets are no shore power.
    [
      'a 20 A outlet as shore power',
      'outlet.noShorePower',
      withPatched(legal, 'berths', 'A3', { reaches: [{ outletId: 'a2c', alongM: 1, acrossM: 1, detourM: 0 }] }),
      ['A3 caution 5-20 null'],
    ],
    // Berths.
    ['a berth without outlets', 'reach.noOutlet', legal, ['BR note 0 null']],
    [
      'an outlet somewhere',
      'reach.positionUnknown',
      withPatched(legal, 'berths', 'B1', { reaches: [{ outletId: 'b1a', alongM: 1, acrossM: null, detourM: 0 }] }),
      ['B1 confirm null null'],
    ],
    [
      'unknown length',
      'fit.lengthUnknown',
      withPatched(withPatched(legal, 'berths', 'A1', { lengthM: null }), 'berths', 'BF-1', { lengthM: null }),
      ['A1 confirm null null'],
    ],
    ['unknown beam', 'fit.beamUnknown', withPatched(legal, 'berths', 'A1', { beamM: null }), ['A1 confirm null null']],
    [
      'unknown depth',
      'fit.depthUnknown',
      withPatched(legal, 'berths', 'A1', { depthM: null }),
      ['A1 confirm null null'],
    ],
    [
      'a pedestal somewhere',
      'reach.pedestalPositionUnknown',
      withPatched(legal, 'pedestals', 'ped-a1', { alongDockM: null }),
      ['ped-a1 confirm null null'],
    ],
    [
      'an adapter that plugs in nowhere',
      'stock.noUse',
      sampleInventory({
        outlets: legal.outlets.filter(({ configurationId }) => configurationId !== 'SS2-50'),
        berths: [],
      }),
      ['stock-step-down note SS2-50 null'],
    ],
    ['an adapter that plugs in', 'stock.noUse', legal, []],
  ];
  it.each(cases)('%s: %s', (_, name, inventory, expected) => {
    expect(says(name, inventory)).toEqual(expected);
  });

  // Connected amperes by hand: six L5-30 on one line of two are 180 A and 0 A, mean 90 A, limit 112.5 A.
  it('sums connected amperes by line, on the own side of a transformer', () => {
    const sixOnOne = sampleInventory({
      outlets: [1, 2, 3, 4, 5, 6].flatMap((i) => {
        const [first] = legal.outlets;
        return first === undefined ? [] : [{ ...first, id: `a1-${i}`, label: `${i}` }];
      }),
      berths: [],
    });
    expect(says('demand.linesUnbalanced', sixOnOne)).toEqual([
      'xfmr-a caution 180 113',
      'panel-a caution 180 113',
      'feeder-a1 caution 180 113',
    ]);
    const spread = {
      ...sixOnOne,
      outlets: sixOnOne.outlets.map((outlet, i) => ({ ...outlet, lines: [i % 2 === 0 ? 'L1' : 'L2'] as const })),
    };
    expect(says('demand.linesUnbalanced', spread)).toEqual([]);
  });

  it('takes 300 mA above 63 A under IEC 60364-7-709 (from memory), and 30 mA below', () => {
    const inventory = withPatched(withSystemB('400Y/230', 'IEC-32-2P+E-230-6h'), 'outlets', 'b2a', {
      groundFault: fitted(300),
    });
    const iec = withPatched(inventory, 'outlets', 'b2c', {
      configurationId: 'IEC-125-3P+N+E-400-6h',
      groundFault: fitted(300),
    });
    expect(says('outlet.groundFaultSetting', iec)).toEqual(['b2a caution 300 30']);
  });

  it('has checks of different names, each speaking under its own', () => {
    const index = indexInventory(withPatched(legal, 'outlets', 'a1a', { breakerA: 50, groundFault: fitted(100) }));
    expect(new Set(inventoryChecks.map(({ name }) => name)).size).toBe(inventoryChecks.length);
    for (const { name, check } of inventoryChecks) for (const finding of check(index)) expect(finding.rule).toBe(name);
  });

  it('asks for the missing fact wherever it cannot judge, and names subject and label', () => {
    const findings = diagnoseInventory(indexInventory(legal));
    expect(findings.length).toBeGreaterThan(4);
    for (const finding of findings) {
      expect(finding.missingFact !== undefined).toBe(finding.level === 'confirm');
      expect(finding.message).toContain(finding.subject.label);
      expect(finding.source).not.toBe('');
    }
  });

  it('speaks gravest first', () => {
    const findings = diagnoseInventory(
      indexInventory(withPatched(legal, 'equipment', 'xfmr-b', { earthing: 'TN-C-S' })),
    );
    expect(findings[0]?.level).toBe('refuse');
    expect(findings.at(-1)?.level).toBe('note');
  });

  it('finds nothing to mend where everything is known and sound, but the berth without outlets', () => {
    const sound = {
      ...legal,
      equipment: legal.equipment.map((part) =>
        part.id === 'feeder-a2' ? { ...part, breakerA: 100, groundFault: fitted(100) } : part,
      ),
      outlets: legal.outlets.map((outlet) => ({
        ...outlet,
        lines: outlet.lines ?? (['L1'] as const),
        groundFault: fitted(30),
      })),
    };
    const rest = diagnoseInventory(indexInventory(sound)).filter(({ rule }) => rule !== 'demand.linesUnbalanced');
    expect(rest.map(({ rule, subject }) => `${rule} ${subject.id}`)).toEqual(['reach.noOutlet BR']);
  });
});
