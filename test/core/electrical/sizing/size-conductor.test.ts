import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { countFactor, temperatureFactor } from '../../../../core/electrical/sizing/corrections.ts';
import { sizeConductor } from '../../../../core/electrical/sizing/size-conductor.ts';
import type { Sizing, SizingInput } from '../../../../core/electrical/sizing/sizing.ts';
import { conductorRows } from '../../../../core/standards/conductors.ts';
import { circuit } from './support.ts';

/** Every answer notes its grounding conductor: that has checks of its own. */
const rules = ({ findings }: Sizing) =>
  findings.filter(({ rule }) => rule !== 'sizing.grounding').map(({ rule, level }) => `${rule} ${level}`);
const named = ({ conductor }: Sizing) =>
  conductor === null ? null : `${conductor.parallelSets} x ${conductor.size} ${conductor.sizeUnit}`;
const size = (given: Partial<SizingInput>) => sizeConductor(circuit(given));

describe('correction factors', () => {
  // NEC Equation 310.15(B): the factor is sqrt((Tc - Ta) / (Tc - 30)); the table rounds it at the warm end of each row.
  it('are those of the equation that the table is made from', () => {
    for (const insulationC of [60, 75, 90] as const) {
      for (let ambientC = 10; ambientC < insulationC; ambientC += 5) {
        const byEquation = Math.sqrt((insulationC - ambientC) / (insulationC - 30));
        expect(temperatureFactor(ambientC, insulationC), `${insulationC} C at ${ambientC} C`).toBeCloseTo(
          byEquation,
          1.9,
        );
      }
      expect(temperatureFactor(insulationC, insulationC)).toBeNull();
    }
  });

  // A published example: 10 AWG 90 C copper at 120 F (48.9 C): 40 A x 0.82 = 32.8 A (Stallcup Education, correction factors).
  it('give the published example', () => {
    const given = { size: '10', sizeUnit: 'AWG', parallelSets: 1, deviceA: 30 } as const;
    const found = size({ loadA: 20, insulationC: 90, ambientC: (120 - 32) / 1.8, given }).conductor;
    expect(found).toMatchObject({ tableA: 40, temperatureFactor: 0.82, correctedA: 32.8 });
  });

  // NEC Table 310.15(C)(1).
  it.each([
    [1, 1],
    [3, 1],
    [4, 0.8],
    [6, 0.8],
    [7, 0.7],
    [9, 0.7],
    [10, 0.5],
    [20, 0.5],
    [21, 0.45],
    [30, 0.45],
    [31, 0.4],
    [40, 0.4],
    [41, 0.35],
    [500, 0.35],
  ])('for %d conductors together: %d', (count, factor) => expect(countFactor(count)).toBe(factor));
});

describe('conductor and breaker for a load', () => {
  // NEC Table 310.16 and 240.4(B), 240.6(A): by hand.
  it.each([
    ['100 A: 3 AWG, 100 A at 75 C', { loadA: 100 }, '1 x 3 AWG', 100],
    ['101 A: 110 A breaker, 2 AWG (115 A)', { loadA: 101 }, '1 x 2 AWG', 110],
    ['200 A: 3/0', { loadA: 200 }, '1 x 3/0 AWG', 200],
    ['200 A aluminium: 250 kcmil', { loadA: 200, material: 'aluminium' }, '1 x 250 kcmil', 200],
    ['100 A at 60 C terminals: 1 AWG (110 A)', { loadA: 100, terminalsC: 60 }, '1 x 1 AWG', 100],
    ['100 A at 40 C: 0.88 x 115 A of 2 AWG', { loadA: 100, ambientC: 40 }, '1 x 2 AWG', 100],
    ['100 A, six conductors: 0.8 x 130 A of 1 AWG', { loadA: 100, currentCarrying: 6 }, '1 x 1 AWG', 100],
    ['80 A continuous: 100 A', { loadA: 80, continuousA: 80 }, '1 x 3 AWG', 100],
    ['20 A: 12 AWG, though 14 AWG has 20 A in the table (240.4(D))', { loadA: 20 }, '1 x 12 AWG', 20],
    ['30 A: 10 AWG (240.4(D))', { loadA: 30 }, '1 x 10 AWG', 30],
    ['600 A: two sets of 350 kcmil (620 A)', { loadA: 600 }, '2 x 350 kcmil', 600],
    ['900 A: above 800 A no rounding up, 1,000 A in two sets', { loadA: 900 }, '2 x 1000 kcmil', 1000],
  ] as [string, Partial<SizingInput>, string, number][])('%s', (_, given, conductor, deviceA) => {
    const found = size(given);
    expect(named(found)).toBe(conductor);
    expect(found).toMatchObject({ deviceA, status: 'fits' });
  });

  it('notes a breaker rounded up to the next standard size', () => {
    expect(rules(size({ loadA: 114 }))).toContain('sizing.roundedUp note');
    expect(rules(size({ loadA: 100 }))).toEqual([]);
  });

  it('takes a larger size over a long way, and says what amperes alone would want', () => {
    const found = size({ loadA: 100, lengthM: 120, maxDropPercent: 3 });
    expect(found.byAmpacityAlone).toEqual({ size: '3', sizeUnit: 'AWG', parallelSets: 1 });
    expect(named(found)).toBe('1 x 3/0 AWG');
    expect(found.conductor?.drop?.exactPercent).toBeLessThanOrEqual(3);
  });

  it('advises where no limit on volts is given', () => {
    const found = size({ loadA: 100, lengthM: 120 });
    expect(found).toMatchObject({
      status: 'fits',
      findings: [{ rule: 'sizing.dropAdvice', level: 'caution', limit: 5 }, { rule: 'sizing.grounding' }],
    });
  });

  it('sizes the neutral for what it can carry, as the lines where that is unknown, and none where there is none', () => {
    expect(size({ loadA: 200, neutralA: 100 }).neutral).toMatchObject({ size: '3', sizeUnit: 'AWG' });
    expect(size({ loadA: 200, neutralA: null }).neutral).toMatchObject({ size: '3/0', sizeUnit: 'AWG' });
    expect(size({ loadA: 200, neutralA: 0 }).neutral).toBeNull();
    // In parallel no size below 1/0.
    expect(size({ loadA: 600, neutralA: 50 }).neutral).toMatchObject({ size: '1/0', parallelSets: 2 });
  });
});

describe('a conductor that is given', () => {
  const given = (sizeAwg: string, more: Partial<NonNullable<SizingInput['given']>> = {}) =>
    ({ size: sizeAwg, sizeUnit: 'AWG', parallelSets: 1, deviceA: null, ...more }) as const;

  it.each([
    ['enough', { given: given('3') }, 'fits', []],
    [
      'too thin',
      { given: given('6') },
      'doesNotFit',
      ['sizing.ampacity refuse', 'sizing.terminals refuse', 'sizing.deviceAboveConductor refuse'],
    ],
    [
      'a breaker too large',
      { given: given('3', { deviceA: 125 }) },
      'doesNotFit',
      ['sizing.deviceAboveConductor refuse'],
    ],
    ['a breaker too small', { given: given('3', { deviceA: 90 }) }, 'doesNotFit', ['sizing.deviceBelowLoad refuse']],
    [
      'thin ones in parallel',
      { given: given('2', { parallelSets: 2 }) },
      'doesNotFit',
      ['sizing.parallelTooSmall refuse'],
    ],
    ['a size of no table', { given: given('5') }, 'notAssessed', ['sizing.unknownSize confirm']],
    [
      'square millimetres',
      { given: { ...given('35'), sizeUnit: 'mm2' as const } },
      'notAssessed',
      ['sizing.unknownSize confirm'],
    ],
    [
      'no impedance in the table',
      { given: { ...given('700'), sizeUnit: 'kcmil' as const } },
      'notAssessed',
      ['sizing.dropNotAssessed confirm'],
    ],
    [
      'too many volts lost',
      { given: given('3'), lengthM: 120, maxDropPercent: 3 },
      'doesNotFit',
      ['sizing.drop refuse'],
    ],
    ['no volts left', { given: given('3'), lengthM: 5000 }, 'doesNotFit', ['sizing.noVoltsLeft refuse']],
  ] as [string, Partial<SizingInput>, string, string[]][])('%s', (_, question, status, said) => {
    const found = size({ loadA: 100, ...question });
    expect(rules(found)).toEqual(said);
    expect(found.status).toBe(status);
  });
});

describe('bad input and unknown facts', () => {
  it.each([
    ['no load', { loadA: 0 }],
    ['NaN', { loadA: Number.NaN }],
    ['infinite', { loadA: Number.POSITIVE_INFINITY }],
    ['a negative continuous part', { continuousA: -1 }],
    ['more continuous than all', { continuousA: 101 }],
    ['no volts', { voltageV: 0 }],
    ['a power factor of 0', { powerFactor: 0 }],
    ['a power factor above 1', { powerFactor: 1.1 }],
    ['an ambient that the insulation does not stand', { ambientC: 80 }],
    ['a conductor of no temperature', { conductorC: Number.NaN }],
    ['no conductors', { currentCarrying: 0 }],
    ['a negative neutral', { neutralA: -1 }],
    ['no sets', { given: { size: '3', sizeUnit: 'AWG' as const, parallelSets: 0, deviceA: null } }],
    ['a breaker of 0 A', { given: { size: '3', sizeUnit: 'AWG' as const, parallelSets: 1, deviceA: 0 } }],
  ])('%s is a finding and no figure', (_, given) => {
    const found = size(given);
    expect(rules(found)).toEqual(['sizing.inputMissing confirm']);
    expect(found).toMatchObject({ status: 'notAssessed', conductor: null, deviceA: null, requiredA: null });
  });

  it.each([
    ['length 0', { lengthM: 0 }, 'sizing.lengthUnknown confirm'],
    ['no length', { lengthM: null }, 'sizing.lengthUnknown confirm'],
    ['NaN', { lengthM: Number.NaN }, 'sizing.lengthUnknown confirm'],
    ['terminals', { terminalsC: null }, 'sizing.terminalsUnknown confirm'],
    ['ambient', { ambientC: null }, 'sizing.ambientUnknown confirm'],
    ['count', { currentCarrying: null }, 'sizing.countUnknown confirm'],
  ])('unknown %s is never a fit', (_, given, said) => {
    for (const maxDropPercent of [null, 3]) {
      const found = size({ ...given, maxDropPercent });
      expect(rules(found)).toEqual([said]);
      expect(found.status).toBe('notAssessed');
      expect(found.conductor?.usableA).toBeGreaterThanOrEqual(100);
    }
  });

  it('says so where nothing is large enough', () => {
    expect(size({ loadA: 7000 })).toMatchObject({ status: 'doesNotFit', findings: [{ rule: 'sizing.noDevice' }] });
    expect(size({ loadA: 3000 })).toMatchObject({ status: 'doesNotFit', findings: [{ rule: 'sizing.noConductor' }] });
    const far = size({ loadA: 400, lengthM: 5000, maxDropPercent: 3 });
    expect(far).toMatchObject({
      status: 'doesNotFit',
      conductor: null,
      findings: [{ rule: 'sizing.noConductorForDrop' }],
    });
    expect(far.byAmpacityAlone).not.toBeNull();
  });
});

describe('properties', () => {
  const places = new Map(conductorRows.map(({ size: name, sizeUnit }, place) => [`${name} ${sizeUnit}`, place]));
  const rank = ({ conductor, status }: Sizing) => {
    if (conductor !== null)
      return conductor.parallelSets * 100 + (places.get(`${conductor.size} ${conductor.sizeUnit}`) ?? 0);
    return status === 'doesNotFit' ? Number.POSITIVE_INFINITY : Number.NaN;
  };
  const anyCircuit = fc.record({
    loadA: fc.double({ min: 0.1, max: 2000, noNaN: true }),
    lengthM: fc.double({ min: 0.1, max: 3000, noNaN: true }),
    voltageV: fc.constantFrom(120, 208, 240, 480),
    phases: fc.constantFrom(1, 3),
    powerFactor: fc.double({ min: 0.1, max: 1, noNaN: true }),
    material: fc.constantFrom('copper', 'aluminium'),
    conduit: fc.constantFrom('pvc', 'aluminium', 'steel'),
    insulationC: fc.constantFrom(60, 75, 90),
    terminalsC: fc.constantFrom(60, 75, null),
    ambientC: fc.option(fc.double({ min: -10, max: 50, noNaN: true })),
    currentCarrying: fc.option(fc.integer({ min: 1, max: 50 })),
    maxDropPercent: fc.option(fc.constantFrom(1, 3, 5)),
    mostParallelSets: fc.integer({ min: 1, max: 6 }),
  });
  const share = fc.double({ min: 1, max: 3, noNaN: true });

  it('more load or a longer way never gives a smaller conductor or breaker', () => {
    fc.assert(
      fc.property(anyCircuit, share, share, (given, more, longer) => {
        const before = size(given);
        const after = size({ ...given, loadA: given.loadA * more, lengthM: given.lengthM * longer });
        expect(rank(after)).toBeGreaterThanOrEqual(rank(before));
        expect(after.deviceA ?? Number.POSITIVE_INFINITY).toBeGreaterThanOrEqual(before.deviceA ?? 0);
      }),
      { numRuns: 300 },
    );
  });

  it('a continuous load or a hotter place never gives a smaller conductor', () => {
    fc.assert(
      fc.property(
        anyCircuit,
        fc.double({ min: 0, max: 1, noNaN: true }),
        fc.integer({ min: 0, max: 9 }),
        (given, part, hotter) => {
          const before = size({ ...given, ambientC: 20 });
          const after = size({ ...given, ambientC: 20 + hotter, continuousA: given.loadA * part });
          expect(rank(after)).toBeGreaterThanOrEqual(rank(before));
        },
      ),
    );
  });

  it('what is chosen is judged to fit when it is given, and never fits with a fact unknown', () => {
    fc.assert(
      fc.property(
        anyCircuit,
        fc.constantFrom('lengthM', 'terminalsC', 'ambientC', 'currentCarrying'),
        (given, unknown) => {
          const { conductor, status, deviceA } = size(given);
          if (conductor !== null) {
            const { size: name, sizeUnit, parallelSets } = conductor;
            expect(size({ ...given, given: { size: name, sizeUnit, parallelSets, deviceA } }).status).toBe(status);
          }
          expect(size({ ...given, [unknown]: null }).status).not.toBe('fits');
        },
      ),
    );
  });
});

describe('the equipment grounding conductor', () => {
  const grounding = (given: Partial<SizingInput>) => {
    const found = size(given).grounding;
    return found === null ? null : `${found.parallelSets} x ${found.size} ${found.sizeUnit}`;
  };

  // NEC Table 250.122, from memory.
  it.each([
    ['30 A breaker: 10 AWG', { loadA: 30 }, '1 x 10 AWG'],
    ['100 A breaker: 8 AWG', { loadA: 100 }, '1 x 8 AWG'],
    ['200 A breaker: 6 AWG', { loadA: 200 }, '1 x 6 AWG'],
    ['200 A breaker, aluminium: 4 AWG', { loadA: 200, material: 'aluminium' as const }, '1 x 4 AWG'],
    ['400 A breaker: 3 AWG', { loadA: 380, mostParallelSets: 1 }, '1 x 3 AWG'],
  ])('%s', (_, given, expected) => expect(grounding(given)).toBe(expected));

  it('is never thinner than 12 AWG on a dock (NEC 555.37(B), from memory)', () => {
    expect(grounding({ loadA: 15 })).toBe('1 x 12 AWG');
  });

  it('grows with lines that are larger than their amperes need (NEC 250.122(B)): by hand', () => {
    // 40 A: 8 AWG (16,510 cmil) is enough; with 6 AWG (26,240) the 10 AWG (10,380) becomes 16,497 cmil: 8 AWG.
    const given = { size: '6', sizeUnit: 'AWG', parallelSets: 1, deviceA: 40 } as const;
    expect(size({ loadA: 40 }).conductor?.size).toBe('8');
    expect(grounding({ loadA: 40, given })).toBe('1 x 8 AWG');
    // Never larger than the lines themselves.
    const far = size({ loadA: 20, lengthM: 300, maxDropPercent: 3 });
    expect(far.grounding?.size).toBe(far.conductor?.size);
  });

  it('is told with its source, and is of full size with each of parallel sets', () => {
    const parallel = size({ loadA: 700 });
    expect(parallel.grounding).toMatchObject({ size: '1/0', parallelSets: parallel.conductor?.parallelSets });
    const [finding] = parallel.findings.filter(({ rule }) => rule === 'sizing.grounding');
    expect(finding?.source).toContain('250.122');
    expect(finding?.source).toContain('from memory');
  });
});

describe('a flexible cord', () => {
  const cord = (given: Partial<SizingInput>) => size({ wiring: 'cord', currentCarrying: 2, ...given });

  // NEC Table 400.5(A)(1), column B for two that carry, A for three (from memory): by hand.
  it.each([
    ['30 A on two: 10 AWG', { loadA: 30 }, '1 x 10 AWG'],
    ['30 A on three (208Y/120): 8 AWG', { loadA: 30, currentCarrying: 3 }, '1 x 8 AWG'],
    ['50 A on two: 6 AWG', { loadA: 50 }, '1 x 6 AWG'],
    ['50 A on three: 4 AWG', { loadA: 50, currentCarrying: 3 }, '1 x 4 AWG'],
    // 6 AWG 55 A x 0.82 (60 C column at 40 C) = 45.1 A; 4 AWG 70 A x 0.82 = 57.4 A.
    ['50 A on two at 40 C: 4 AWG', { loadA: 50, ambientC: 40 }, '1 x 4 AWG'],
  ])('%s', (_, given, expected) => expect(named(cord(given))).toBe(expected));

  it('has a breaker of its ampacity at most, not of the next size (NEC 240.5, from memory)', () => {
    const given = { size: '6', sizeUnit: 'AWG', parallelSets: 1, deviceA: 60 } as const;
    expect(rules(cord({ loadA: 50, given }))).toContain('sizing.deviceAboveConductor refuse');
    expect(cord({ loadA: 50, given }).conductor?.largestDeviceA).toBe(55);
  });

  it('is of copper and of one set, and has its own grounding conductor', () => {
    expect(cord({ loadA: 30, material: 'aluminium' }).status).toBe('doesNotFit');
    expect(cord({ loadA: 200 }).conductor).toBeNull();
    expect(cord({ loadA: 30 }).grounding).toBeNull();
  });
});
