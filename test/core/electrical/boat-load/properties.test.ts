import fc from 'fast-check';
import { expect, it } from 'vitest';
import { legPlaces } from '../../../../core/boats.ts';
import type { LoadAppliance } from '../../../../core/electrical/boat-load/boat-load.ts';
import { calculateBoatLoad } from '../../../../core/electrical/boat-load/calculate-boat-load.ts';
import { loadMethods } from '../../../../core/electrical/boat-load/load-method.ts';
import { oneLeg, question, twoLegs } from './support.ts';

const threeLines = { ...twoLegs, lineToNeutralV: 230, lineToLineV: 400, threePhase: true };

const anyAppliance: fc.Arbitrary<LoadAppliance> = fc.record({
  name: fc.constant('appliance'),
  loadVa: fc.option(fc.double({ min: 0, max: 20_000, noNaN: true })),
  inletId: fc.constantFrom('I1', 'I2', null),
  legs: fc.constantFrom(...legPlaces, 'even' as const, null),
  motor: fc.boolean(),
  continuous: fc.boolean(),
  fixed: fc.boolean(),
  use: fc.constantFrom('always', 'heating', 'cooling', 'heatingAndCooling'),
});
const base = fc.record({
  method: fc.constantFrom(...loadMethods),
  season: fc.constantFrom('summer', 'winter', 'either'),
  inlets: fc.constantFrom([twoLegs], [oneLeg], [threeLines], [twoLegs, { ...oneLeg, id: 'I2' }]),
  appliances: fc.array(anyAppliance, { maxLength: 8 }),
});
const figures = (input: Parameters<typeof question>[0]) => {
  const load = calculateBoatLoad(question(input));
  return [
    load.demandVa,
    ...load.inlets.flatMap(({ legs }) => legs.flatMap((leg) => [leg.runningA, leg.demandA, leg.sizingA])),
  ];
};
const noneFalls = (before: readonly number[], after: readonly number[]) => {
  expect(after.length).toBe(before.length);
  for (const [i, value] of before.entries()) expect(after[i]).toBeGreaterThanOrEqual(value * (1 - 1e-12));
};

it('one appliance more never lowers any figure', () => {
  fc.assert(
    fc.property(base, anyAppliance, (input, more) => {
      noneFalls(figures(input), figures({ ...input, appliances: [...input.appliances, more] }));
    }),
  );
});

it('a larger appliance never lowers any figure', () => {
  fc.assert(
    fc.property(base, anyAppliance, fc.double({ min: 0, max: 10_000, noNaN: true }), (input, grown, byVa) => {
      const larger = { ...grown, loadVa: (grown.loadVa ?? 0) + byVa };
      noneFalls(
        figures({ ...input, appliances: [...input.appliances, grown] }),
        figures({ ...input, appliances: [...input.appliances, larger] }),
      );
    }),
  );
});

it('an unknown load is never within', () => {
  fc.assert(
    fc.property(base, anyAppliance, (input, unknown) => {
      const load = calculateBoatLoad(
        question({ ...input, appliances: [...input.appliances, { ...unknown, loadVa: null }] }),
      );
      expect(load.inlets.some(({ assessment }) => assessment === 'within')).toBe(false);
    }),
  );
});
