import { describe, expect, it } from 'vitest';
import { calculateBoatLoad } from '../../../../core/electrical/boat-load/calculate-boat-load.ts';
import { classDefaultAppliances } from '../../../../core/electrical/boat-load/class-defaults.ts';
import { rangeDemandVa } from '../../../../core/electrical/boat-load/form.ts';
import { loadMethods } from '../../../../core/electrical/boat-load/load-method.ts';
import reference from '../../../reference/boat-load.json' with { type: 'json' };
import { appliance, methodOf, oneLeg, question, twoLegs } from './support.ts';

const squareFeet = (area: number) => area * 0.09290304;
const rules = (findings: readonly { rule: string; level: string }[]) =>
  findings.map(({ rule, level }) => `${rule} ${level}`);

describe('the forms as printed', () => {
  it.each([
    ['dwelling-550.18', reference.form, false],
    ['boat-standard-e11', reference.boatStandard, true],
  ] as const)('%s', (id, printed, fromMemory) => {
    const { fixedAppliances, source, ...method } = methodOf(id);
    expect(source.fromMemory).toBe(fromMemory);
    expect(method).toMatchObject({
      lightingVaPerSquareFoot: printed.lightingVaPerSquareFoot,
      applianceCircuitVa: printed.applianceCircuitVa,
      firstVa: printed.firstVa,
      restFactor: printed.restFactor,
      largestMotorShare: printed.largestMotorShare,
    });
    expect(fixedAppliances).toMatchObject(printed.fixedAppliances);
  });

  it.each(reference.form.ranges)('a range of $ratingW W counts as $demandVa VA', ({ ratingW, demandVa }) => {
    expect(rangeDemandVa(methodOf('dwelling-550.18'), ratingW)).toBeCloseTo(demandVa, 9);
  });

  it('shows the mark of a form from memory in its name and in a finding', () => {
    for (const method of loadMethods.filter(({ source }) => source.fromMemory)) {
      expect(method.name).toContain('from memory, unverified');
      expect(rules(calculateBoatLoad(question({ method })).findings)).toContain('load.methodFromMemory caution');
    }
  });
});

describe('worked examples', () => {
  it(`gives the dwelling of ${reference.dwelling.source}`, () => {
    const { areaSquareFeet, applianceCircuits, laundryVa, rangeW, answer } = reference.dwelling;
    const general = { livingAreaM2: squareFeet(areaSquareFeet), applianceCircuits, laundryVa, rangeW, inletId: 'I1' };
    const load = calculateBoatLoad(question({ inlets: [{ ...twoLegs, mainBreakerA: 100 }], general }));
    for (const name of ['generalVa', 'generalDemandVa', 'rangeDemandVa', 'demandVa'] as const) {
      expect(load[name], name).toBeCloseTo(answer[name], 6);
    }
    expect(load.inlets[0]?.legs.map(({ demandA }) => demandA)).toEqual(
      [13_100 / 240, 13_100 / 240].map((a) => expect.closeTo(a, 9)),
    );
    expect(load.inlets[0]?.assessment).toBe('within');
  });

  it('gives the mobile dwelling of Indiana 675 IAC 15-2-100, leg by leg', () => {
    const { areaSquareFeet, applianceCircuits, rangeW, lineToNeutralV, lineToLineV, answer } = reference.mobileDwelling;
    const load = calculateBoatLoad(
      question({
        inlets: [{ id: 'I1', lineToNeutralV, lineToLineV, mainBreakerA: 50 }],
        general: { livingAreaM2: squareFeet(areaSquareFeet), applianceCircuits, laundryVa: 0, rangeW, inletId: 'I1' },
        appliances: [
          appliance('heater', { loadVa: 1000, legs: 'L1-L2', use: 'heating' }),
          appliance('exhaust fan', { loadVa: 200, legs: 'L1', motor: true }),
          appliance('dishwasher', { loadVa: 400, legs: 'L2', fixed: true }),
        ],
      }),
    );
    expect(load).toMatchObject({
      generalVa: expect.closeTo(answer.generalVa, 6),
      generalDemandVa: expect.closeTo(answer.generalDemandVa, 6),
    });
    const { general, heater, fanL1, dishwasherL2, range, quarterOfFanL1 } = answer.perLegA;
    const [l1, l2] = load.inlets[0]?.legs ?? [];
    expect(l1?.demandA).toBeCloseTo(general + heater + range + fanL1 + quarterOfFanL1, 9);
    expect(l2?.demandA).toBeCloseTo(general + heater + range + dishwasherL2, 9);
  });

  it(`combines appliances: ${reference.combining.source}`, () => {
    const { serviceA, heatPumpA, waterHeaterA, hairDryerA, answer } = reference.combining;
    const inlets = [{ ...oneLeg, mainBreakerA: serviceA }];
    const heatPump = appliance('heat pump', { loadVa: 120 * heatPumpA, motor: true, use: 'heatingAndCooling' });
    const waterHeater = appliance('water heater', { loadVa: 120 * waterHeaterA, fixed: true });
    const hairDryer = appliance('hair dryer', { loadVa: 120 * hairDryerA });
    const two = calculateBoatLoad(question({ inlets, appliances: [heatPump, waterHeater] }));
    expect(two.inlets[0]).toMatchObject({ legs: [{ runningA: answer.twoA }], assessment: 'within' });
    expect(two.findings).toEqual([]);
    const three = calculateBoatLoad(question({ inlets, appliances: [heatPump, waterHeater, hairDryer] }));
    expect(three.inlets[0]).toMatchObject({ legs: [{ runningA: answer.threeA }], assessment: 'over' });
    expect(rules(three.findings)).toEqual(['load.demandAboveBreaker caution']);
  });
});

describe('season, motors, continuous loads', () => {
  const heater = appliance('heater', { loadVa: 1500, use: 'heating' });
  const cooler = appliance('air conditioner', { loadVa: 1200, use: 'cooling', motor: true });
  const demandA = (season: 'summer' | 'winter' | 'either', appliances = [heater, cooler]) =>
    calculateBoatLoad(question({ season, appliances })).inlets[0]?.legs[0]?.demandA;

  it('never counts heating and cooling together', () => {
    expect(demandA('winter')).toBeCloseTo(12.5, 9);
    expect(demandA('summer')).toBeCloseTo(12.5, 9); // 10 A and a quarter of the motor
    expect(demandA('either')).toBeCloseTo(12.5, 9);
    expect(demandA('either', [heater, { ...cooler, loadVa: 1800 }])).toBeCloseTo(18.75, 9);
  });

  it('raises continuous loads by a quarter for breaker and conductor, the largest motor once', () => {
    const appliances = [
      appliance('charger', { loadVa: 1200, continuous: true }),
      appliance('compressor', { loadVa: 960, continuous: true, motor: true }),
    ];
    const leg = calculateBoatLoad(question({ appliances })).inlets[0]?.legs[0];
    expect(leg).toMatchObject({ runningA: 18, demandA: 20, sizingA: 22.5 });
  });

  it('takes the factor for several fixed appliances, but never below what fewer of them draw', () => {
    const fixed = (loadsVa: number[]) =>
      calculateBoatLoad(question({ appliances: loadsVa.map((loadVa) => appliance('fixed', { loadVa, fixed: true })) }))
        .inlets[0]?.legs[0]?.demandA;
    expect(fixed([1200, 1200, 1200])).toBeCloseTo(30, 9);
    expect(fixed([1200, 1200, 1200, 1200, 1200])).toBeCloseTo(37.5, 9);
    expect(fixed([1200, 1200, 1200, 120])).toBeCloseTo(30, 9); // 0.75 x 31 A would be less
  });
});

describe('unknown and impossible facts', () => {
  const heater = appliance('heater', { loadVa: 600 });

  it.each([
    ['load', [appliance('heater', { loadVa: null })], 'load.applianceUnknown'],
    ['negative load', [appliance('heater', { loadVa: -5 })], 'load.applianceUnknown'],
    ['NaN', [appliance('heater', { loadVa: Number.NaN })], 'load.applianceUnknown'],
    ['no such inlet', [{ ...heater, inletId: 'I9' }], 'load.applianceInlet'],
    ['two legs on a one-leg inlet', [{ ...heater, legs: 'L1-L2' as const }], 'load.applianceLeg'],
    ['nothing at all', [], 'load.nothingCounted'],
  ])('%s is asked for and never within', (_, appliances, rule) => {
    const load = calculateBoatLoad(question({ appliances }));
    expect(rules(load.findings)).toContain(`${rule} confirm`);
    expect(load.inlets[0]?.assessment).toBe('notAssessed');
    expect(Number.isFinite(load.demandVa)).toBe(true);
  });

  it('counts an unknown leg in full on each, and an unknown inlet on every one', () => {
    const legUnknown = calculateBoatLoad(question({ inlets: [twoLegs], appliances: [{ ...heater, legs: null }] }));
    expect(legUnknown.inlets[0]?.legs.map(({ demandA }) => demandA)).toEqual([5, 5]);
    expect(legUnknown.inlets[0]?.assessment).toBe('notAssessed');
    const inletUnknown = calculateBoatLoad(
      question({ inlets: [oneLeg, { ...oneLeg, id: 'I2' }], appliances: [{ ...heater, inletId: null }] }),
    );
    expect(inletUnknown.inlets.map(({ legs }) => legs[0]?.demandA)).toEqual([5, 5]);
    expect(inletUnknown.inlets.every(({ assessment }) => assessment === 'notAssessed')).toBe(true);
  });

  it('is over whatever else is unknown, where the known loads are', () => {
    const appliances = [appliance('oven', { loadVa: 6000 }), appliance('pump', { loadVa: null })];
    expect(calculateBoatLoad(question({ appliances })).inlets[0]?.assessment).toBe('over');
  });

  it('does not assess against an unknown breaker, nor at 0 V', () => {
    const noBreaker = calculateBoatLoad(
      question({ inlets: [{ ...oneLeg, mainBreakerA: null }], appliances: [heater] }),
    );
    expect(noBreaker.inlets[0]?.assessment).toBe('notAssessed');
    expect(rules(noBreaker.findings)).toEqual(['load.breakerUnknown confirm']);
    const noVolts = calculateBoatLoad(question({ inlets: [{ ...oneLeg, lineToNeutralV: 0 }], appliances: [heater] }));
    expect(noVolts.inlets).toEqual([]);
    expect(rules(noVolts.findings)).toEqual(['load.inletUnknown confirm']);
  });

  it('asks for what a general load leaves open, and names a range beyond the form', () => {
    const unknown = { livingAreaM2: null, applianceCircuits: null, laundryVa: 0, rangeW: null, inletId: 'I1' };
    const load = calculateBoatLoad(question({ general: unknown }));
    expect(rules(load.findings)).toEqual(Array(3).fill('load.generalUnknown confirm'));
    const large = calculateBoatLoad(
      question({
        inlets: [twoLegs],
        general: { livingAreaM2: 10, applianceCircuits: 1, laundryVa: 0, rangeW: 20_000, inletId: 'I1' },
      }),
    );
    expect(rules(large.findings)).toContain('load.rangeBeyondForm caution');
    expect(large.rangeDemandVa).toBe(20_000);
  });
});

describe('class defaults by length', () => {
  it('are marked as assumed, and judged neither within nor over', () => {
    for (const lengthM of [6, 30]) {
      const load = calculateBoatLoad(question({ appliances: classDefaultAppliances(lengthM, null), assumed: true }));
      expect(rules(load.findings)).toContain('load.classDefault confirm');
      expect(load.inlets[0]?.assessment).toBe('notAssessed');
    }
  });

  it('never fall with length, nor with air conditioning aboard', () => {
    const demandVa = (lengthM: number | null, airConditioning: boolean | null) =>
      calculateBoatLoad(question({ appliances: classDefaultAppliances(lengthM, airConditioning), assumed: true }))
        .demandVa;
    let last = 0;
    for (const lengthM of [5, 8, 8.1, 11, 11.1, 14, 14.1, 18, 18.1, 40]) {
      expect(demandVa(lengthM, null)).toBeGreaterThanOrEqual(last);
      last = demandVa(lengthM, null);
      expect(demandVa(lengthM, true)).toBeGreaterThanOrEqual(demandVa(lengthM, false));
    }
    expect(demandVa(null, null)).toBe(last);
  });
});
