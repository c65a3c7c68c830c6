import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import type { IecSizingInput } from '../../../../../core/electrical/sizing/iec/iec-sizing.ts';
import { sizeIecConductor } from '../../../../../core/electrical/sizing/iec/size-iec-conductor.ts';
import {
  iecConductorRows,
  iecProtectiveMm2,
  iecTemperatureFactor,
} from '../../../../../core/standards/iec-conductors.ts';

const known: IecSizingInput = {
  subject: { kind: 'equipment', id: 'circuit', label: 'Circuit' },
  loadA: 16,
  voltageV: 230,
  phases: 1,
  powerFactor: 1,
  lengthM: 25,
  ambientC: 30,
  circuits: 1,
  maxDropPercent: null,
  given: null,
};
const size = (given: Partial<IecSizingInput>) => sizeIecConductor({ ...known, ...given });
const rules = (given: Partial<IecSizingInput>) =>
  size(given).findings.flatMap(({ rule, level }) => (level === 'note' ? [] : [`${rule} ${level}`]));

describe('tables of the IEC practice', () => {
  // The equation behind the temperature table: sqrt((70 - Ta) / (70 - 30)).
  it('have the temperature factors of the equation that they are made from', () => {
    for (let ambientC = 10; ambientC <= 60; ambientC += 5)
      expect(iecTemperatureFactor(ambientC)).toBeCloseTo(Math.sqrt((70 - ambientC) / 40), 1.9);
    expect(iecTemperatureFactor(61)).toBeNull();
  });

  // BS 7671 Table 4D1B, two-core copper PVC in conduit, mV per A and m at 70 C (from memory); larger ones its r column.
  it.each([
    [1.5, 29],
    [2.5, 18],
    [4, 11],
    [6, 7.3],
    [10, 4.4],
    [16, 2.8],
    [25, 1.75],
    [35, 1.25],
    [50, 0.93],
    [70, 0.63],
    [95, 0.47],
  ])('%d mm2 loses %d mV for each ampere and metre, as another practice prints', (areaMm2, millivolts) => {
    const row = iecConductorRows.find((each) => each.areaMm2 === areaMm2);
    const perMetre = 2 * (row?.ohmPerKmAt20C ?? 0) * (1 + 0.00393 * 50);
    expect(Math.abs(perMetre / millivolts - 1)).toBeLessThan(0.03);
  });

  // IEC 60364-5-54 Table 54.2: the line's up to 16 mm2, 16 up to 35, half above.
  it.each([
    [2.5, 2.5],
    [16, 16],
    [25, 16],
    [35, 16],
    [50, 25],
    [95, 50],
    [185, 95],
  ])('beside %d mm2 the protective conductor is %d mm2', (line, expected) => {
    expect(iecProtectiveMm2(line)).toBe(expected);
  });
});

describe('a conductor by the IEC practice', () => {
  // Method B1, two loaded: 1.5 mm2 17.5 A, 2.5 mm2 24 A, 6 mm2 41 A, 16 mm2 76 A; three loaded: 6 mm2 36 A: by hand.
  it.each([
    ['16 A, short: 1.5 mm2 at 16 A', { lengthM: 1 }, 1.5, 16],
    ['32 A: 4 mm2', { loadA: 32, lengthM: 1 }, 4, 32],
    ['32 A three-phase: 6 mm2', { loadA: 32, phases: 3 as const, voltageV: 400, lengthM: 1 }, 6, 32],
    ['63 A: 16 mm2', { loadA: 63, lengthM: 1 }, 16, 63],
    // 41 x 0.87 = 35.7 A is enough for 32 A, 32 x 0.87 = 27.8 A is not.
    ['32 A at 40 C: 6 mm2', { loadA: 32, ambientC: 40, lengthM: 1 }, 6, 32],
    // 57 x 0.7 = 39.9 A, 41 x 0.7 = 28.7 A.
    ['32 A, three circuits together: 10 mm2', { loadA: 32, circuits: 3, lengthM: 1 }, 10, 32],
  ])('%s', (_, given, areaMm2, deviceA) => {
    const found = size(given);
    expect(found.status).toBe('fits');
    expect(found.conductor?.areaMm2).toBe(areaMm2);
    expect(found.deviceA).toBe(deviceA);
  });

  it('has volts lost by Ohm: 2 x 25 m x 8.87 ohm/km x 16 A = 7.09 V, 3.08 % of 230 V', () => {
    const found = size({ given: { areaMm2: 2.5, deviceA: 16 } });
    expect(found.conductor?.dropV).toBeCloseTo(7.09, 2);
    expect(rules({ given: { areaMm2: 2.5, deviceA: 16 } })).toEqual(['sizing.dropAdvice caution']);
    expect(size({ maxDropPercent: 3 }).conductor?.areaMm2).toBe(4);
    expect(size({ maxDropPercent: 3 }).byAmpacityAloneMm2).toBe(1.5);
  });

  it('refuses a device above the conductor or below the load, and a drop beyond the limit', () => {
    expect(rules({ lengthM: 1, given: { areaMm2: 1.5, deviceA: 20 } })).toEqual(['sizing.deviceAboveConductor refuse']);
    expect(rules({ lengthM: 1, given: { areaMm2: 2.5, deviceA: 10 } })).toEqual(['sizing.deviceBelowLoad refuse']);
    expect(rules({ maxDropPercent: 3, given: { areaMm2: 2.5, deviceA: 16 } })).toEqual(['sizing.drop refuse']);
    expect(rules({ lengthM: 100_000, given: { areaMm2: 2.5, deviceA: 16 } })).toEqual(['sizing.noVoltsLeft refuse']);
    expect(size({ loadA: 1_000 }).findings.map(({ rule }) => rule)).toEqual(['sizing.noDevice']);
    expect(size({ loadA: 600 }).findings.map(({ rule }) => rule)).toEqual(['sizing.noConductor']);
  });

  it('is not assessed where a fact is unknown, and asks for it', () => {
    expect(rules({ lengthM: null })).toEqual(['sizing.lengthUnknown confirm']);
    expect(rules({ ambientC: null, lengthM: 1 })).toEqual(['sizing.ambientUnknown confirm']);
    expect(rules({ circuits: null, lengthM: 1 })).toEqual(['sizing.countUnknown confirm']);
    expect(rules({ given: { areaMm2: 3, deviceA: 16 } })).toEqual(['sizing.unknownSize confirm']);
    for (const bad of [{ loadA: 0 }, { loadA: Number.NaN }, { voltageV: 0 }, { ambientC: 90 }, { circuits: 99 }])
      expect(size(bad).status).toBe('notAssessed');
  });

  it('more load, length or warmth never gives a smaller one', () => {
    const more = fc.record({
      loadA: fc.double({ min: 1, max: 400, noNaN: true }),
      lengthM: fc.integer({ min: 1, max: 400 }),
      ambientC: fc.integer({ min: 0, max: 60 }),
    });
    const area = (given: Partial<IecSizingInput>) =>
      size({ maxDropPercent: 5, ...given }).conductor?.areaMm2 ?? Number.POSITIVE_INFINITY;
    fc.assert(
      fc.property(more, more, (a, b) => {
        const most = {
          loadA: Math.max(a.loadA, b.loadA),
          lengthM: Math.max(a.lengthM, b.lengthM),
          ambientC: Math.max(a.ambientC, b.ambientC),
        };
        expect(area(most)).toBeGreaterThanOrEqual(area(a));
      }),
    );
  });
});
