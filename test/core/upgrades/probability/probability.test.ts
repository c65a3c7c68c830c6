import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { indexInventory } from '../../../../core/inventory/index-inventory.ts';
import type { LineName } from '../../../../core/standards/configuration.ts';
import { binomialDistribution } from '../../../../core/upgrades/probability/convolve.ts';
import { dutyCycleOf, dutyCycles, partsOfDay } from '../../../../core/upgrades/probability/duty-cycles.ts';
import { exactChances, feasibleStepA } from '../../../../core/upgrades/probability/exact.ts';
import { loadsOnPart } from '../../../../core/upgrades/probability/loads-on-part.ts';
import type { RandomLoad } from '../../../../core/upgrades/probability/random-load.ts';
import { simulateChances } from '../../../../core/upgrades/probability/simulate.ts';
import { seededChance } from '../../../../core/upgrades/random.ts';
import reference from '../../../reference/binomial.json' with { type: 'json' };
import { sampleInventory } from '../../../support/sample-inventory.ts';

describe(`binomial: ${reference.source} (${reference.mark})`, () => {
  for (const { count, chance, atMost, probability } of reference.rows) {
    it(`P(X <= ${atMost}) of ${count} at ${chance} is ${probability}`, () => {
      const sum = binomialDistribution(count, chance)
        .slice(0, atMost + 1)
        .reduce((all, each) => all + each, 0);
      expect(sum).toBeCloseTo(probability, 4);
    });
  }
});

const loadsArbitrary = fc.array(
  fc.record({
    label: fc.constant('x'),
    count: fc.integer({ min: 0, max: 3 }),
    chance: fc.double({ min: 0, max: 1, noNaN: true }),
    lineA: fc.record({ L1: fc.integer({ min: 0, max: 40 }), L2: fc.integer({ min: 0, max: 40 }) }),
  }),
  { maxLength: 5 },
);

/** Every combination of on and off, weighed: what no convolution can get wrong. */
function enumerate(loads: readonly RandomLoad[], over: (amperes: Record<'L1' | 'L2', number>) => boolean): number {
  const single = loads.flatMap((load) => Array.from({ length: load.count }, () => load));
  let chance = 0;
  for (let on = 0; on < 1 << single.length; on++) {
    let weight = 1;
    const amperes = { L1: 0, L2: 0 };
    for (const [i, load] of single.entries()) {
      const isOn = (on & (1 << i)) !== 0;
      weight *= isOn ? load.chance : 1 - load.chance;
      if (!isOn) continue;
      amperes.L1 += load.lineA.L1 ?? 0;
      amperes.L2 += load.lineA.L2 ?? 0;
    }
    if (over(amperes)) chance += weight;
  }
  return chance;
}

const lines: readonly LineName[] = ['L1', 'L2'];

describe('the chance of passing a limit', () => {
  it('by convolution is that of every combination enumerated', () => {
    fc.assert(
      fc.property(loadsArbitrary, fc.integer({ min: 0, max: 120 }), (loads, limitA) => {
        fc.pre(loads.reduce((sum, { count }) => sum + count, 0) <= 12);
        const limit = { kind: 'breaker', limitA };
        for (const { line, limits } of exactChances(loads, lines, [limit], 1)) {
          if (line === 'L3') continue;
          const enumerated = enumerate(loads, (amperes) => amperes[line] > limitA);
          expect(limits[0]?.chanceAbove.atLeast).toBeCloseTo(enumerated, 10);
          expect(limits[0]?.chanceAbove.atMost).toBeCloseTo(enumerated, 10);
        }
      }),
      { numRuns: 60 },
    );
  });

  it('lies between its bounds where currents are no whole steps', () => {
    fc.assert(
      fc.property(loadsArbitrary, fc.integer({ min: 0, max: 100 }), (whole, limitA) => {
        fc.pre(whole.reduce((sum, { count }) => sum + count, 0) <= 10);
        const loads = whole.map((load) => ({ ...load, lineA: { L1: (load.lineA.L1 * 7) / 9 } }));
        const [line] = exactChances(loads, ['L1'], [{ kind: 'breaker', limitA }], 1);
        const enumerated = enumerate(loads, ({ L1 }) => L1 > limitA + 1e-9);
        const { atLeast = 1, atMost = 0 } = line?.limits[0]?.chanceAbove ?? {};
        expect(atLeast).toBeLessThanOrEqual(enumerated + 1e-9);
        expect(atMost).toBeGreaterThanOrEqual(enumerated - 1e-9);
      }),
      { numRuns: 60 },
    );
  });

  it('by simulation lies within five of its stated standard errors, on each line and on any', () => {
    const loads: RandomLoad[] = [
      { label: 'heat pumps', count: 6, chance: 0.6, lineA: { L1: 12, L2: 12 } },
      { label: 'chargers', count: 5, chance: 0.4, lineA: { L1: 15 } },
      { label: 'kettles', count: 4, chance: 0.2, lineA: { L2: 10 } },
    ];
    const limit = { kind: 'breaker', limitA: 80 };
    const exact = exactChances(loads, lines, [limit], 1);
    const { limits } = simulateChances(loads, lines, [limit], 40_000, seededChance(7));
    const [found] = limits;
    for (const { line, limits: ofLine } of exact) {
      const { chance = 0, standardError = 0 } = found?.byLine[line] ?? {};
      expect(standardError).toBeLessThan(0.003);
      expect(Math.abs(chance - (ofLine[0]?.chanceAbove.atLeast ?? 1))).toBeLessThan(5 * standardError);
    }
    const any = enumerate(loads, ({ L1, L2 }) => L1 > 80 || L2 > 80);
    expect(Math.abs((found?.anyLine.chance ?? 0) - any)).toBeLessThan(5 * (found?.anyLine.standardError ?? 0));
  });

  it('draws the same from the same seed, and never claims an error of nothing', () => {
    const loads = [{ label: 'x', count: 2, chance: 0.5, lineA: { L1: 5 } }];
    const run = () => simulateChances(loads, ['L1'], [{ kind: 'breaker', limitA: 50 }], 100, seededChance(3));
    expect(run()).toEqual(run());
    expect(run().limits[0]?.anyLine.chance).toBe(0);
    expect(run().limits[0]?.anyLine.standardError).toBeGreaterThan(0);
  });

  it('refuses figures that are none', () => {
    const bad = (load: Partial<RandomLoad>) => [{ label: 'pump', count: 1, chance: 0.5, lineA: { L1: 1 }, ...load }];
    expect(() => exactChances(bad({ chance: 1.2 }), lines, [])).toThrow(/"pump".*1.2/);
    expect(() => exactChances(bad({ lineA: { L1: -1 } }), lines, [])).toThrow(/-1 A/);
    expect(() => exactChances(bad({ count: 1.5 }), lines, [])).toThrow(/1.5/);
    expect(() => exactChances(bad({ lineA: { L1: 1e9 } }), lines, [])).toThrow(/coarser/);
  });
});

describe('appliances below a part', () => {
  it('have a duty cycle in every season and part of the day, between 0 and 1', () => {
    for (const cycle of dutyCycles)
      for (const at of partsOfDay)
        for (const share of [cycle.summer[at], cycle.winter[at]]) expect(share >= 0 && share <= 1).toBe(true);
    expect(dutyCycleOf('Electric water heater', 'summer', 'night')?.name).toBe('water heater');
    expect(dutyCycleOf('ship organ', 'summer', 'night')).toBeNull();
  });

  it('load the lines as the outlet does, and the unknown counts as always on', () => {
    const index = indexInventory(sampleInventory());
    const outlet = index.inventory.outlets.find(({ configurationId }) => configurationId === 'SS2-50');
    const feeding = outlet === undefined ? undefined : index.pathOfOutlet.get(outlet.id)?.[0];
    if (outlet === undefined || feeding === undefined) throw new Error('the sample marina has no 50 A outlet');
    const boat = { outletIds: [outlet.id], boatLabel: 'x', lengthM: 12, airConditioning: true };
    const organ = { ...boat, appliances: [{ name: 'ship organ', loadVa: 2400, chance: null }] };
    const found = loadsOnPart(index, feeding.id, [organ], 'summer', 'afternoon');
    expect(found.loads.filter(({ label }) => label === 'ship organ').map(({ chance }) => chance)).toEqual([1]);
    expect(found.assumptions.join(' ')).toMatch(/ship organ.*always on/);
    const assumed = loadsOnPart(index, feeding.id, [{ ...boat, appliances: null }], 'summer', 'afternoon');
    expect(assumed.loads.length).toBeGreaterThan(3);
    expect(assumed.assumptions.join(' ')).toMatch(/assumed by their length/);
  });

  it('of a boat on two outlets are spread over both, once', () => {
    const index = indexInventory(sampleInventory());
    const pair = index.inventory.outlets.filter(({ configurationId, pedestalId }, _, all) => {
      return configurationId === 'L5-30' && all.filter((other) => other.pedestalId === pedestalId).length > 1;
    });
    const [one] = pair;
    const other = index.inventory.outlets.find(
      ({ id, pedestalId }) => id !== one?.id && pedestalId === one?.pedestalId,
    );
    const service = one === undefined ? undefined : index.pathOfOutlet.get(one.id)?.[0];
    if (one === undefined || other === undefined || service === undefined) throw new Error('no two outlets together');
    const boat = { boatLabel: 'x', lengthM: 12, airConditioning: true };
    const organ = [{ name: 'ship organ', loadVa: 2400, chance: null }];
    const on = (outletIds: string[]) =>
      loadsOnPart(index, service.id, [{ ...boat, outletIds, appliances: organ }], 'summer', 'night').loads.find(
        ({ label }) => label === 'ship organ',
      )?.lineA ?? {};
    const [both, first, second] = [on([one.id, other.id]), on([one.id]), on([other.id])];
    for (const line of ['L1', 'L2', 'L3'] as const)
      expect(both[line] ?? 0).toBeCloseTo(((first[line] ?? 0) + (second[line] ?? 0)) / 2, 9);
  });

  it('are held against the windings of a transformer: a half of a centre-tapped one carries its line', () => {
    const inventory = sampleInventory();
    const transformer = { ratedKva: 48, connection: 'centreTapped' as const, percentR: null, percentX: null };
    const equipment = inventory.equipment.map((part) =>
      part.parentId === null ? { ...part, systemId: '120/240-split-phase', lines: null, transformer } : part,
    );
    const [root] = equipment;
    const index = indexInventory({ ...inventory, equipment });
    const { limits, notAssessed } = loadsOnPart(index, root?.id ?? '', [], 'summer', 'night');
    // 24 kVA at 120 V are 200 A.
    expect(limits.find(({ kind }) => kind === 'winding')?.limitA).toBeCloseTo(200, 9);
    expect(notAssessed).toContain('neutral');
  });

  it('take the finest step that can be convolved', () => {
    const loads = (count: number) => [{ label: 'x', count, chance: 0.5, lineA: { L1: 10 } }];
    expect(feasibleStepA(loads(10), ['L1'])).toBe(0.1);
    const many = Array.from({ length: 12 }, (_, i) => ({ label: 'x', count: 500, chance: 0.5, lineA: { L1: 5 + i } }));
    const step = feasibleStepA(many, ['L1']);
    expect(step).toBeGreaterThan(0.1);
    expect(() => exactChances(many, ['L1'], [], step / 2)).toThrow(/coarser/);
    const [line] = exactChances(many, ['L1'], [], step);
    expect(line?.meanA).toBeCloseTo(0.5 * (line?.connectedA ?? 0), 6);
  });
});
