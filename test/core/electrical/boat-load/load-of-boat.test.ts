import { describe, expect, it } from 'vitest';
import type { Appliance, Boat } from '../../../../core/boats.ts';
import { calculateBoatLoad } from '../../../../core/electrical/boat-load/calculate-boat-load.ts';
import { boatLoadInput, statedVaOf } from '../../../../core/electrical/boat-load/load-of-boat.ts';
import { assumed, boatOf, inletOf, told } from '../../berths/builders.ts';

function runs(name: string, loadVa: number, given: Partial<Appliance> = {}): Appliance {
  return { name, loadVa, inletId: 'I1', legs: 'L1', motor: false, continuous: false, ...given };
}

function withInlet(configurationId: string, appliances: readonly Appliance[], given: Partial<Boat> = {}): Boat {
  const inlet = inletOf({ configurationIds: told([configurationId]), mainBreakerA: told(30) });
  return boatOf({ inlets: [inlet], appliances: told(appliances), ...given });
}

const legsOf = (boat: Boat) =>
  calculateBoatLoad(boatLoadInput(boat, 'either')).inlets.flatMap(({ legs }) =>
    legs.map(({ leg, runningA }) => [leg, Math.round(runningA * 1e6) / 1e6]),
  );

describe('the load of a stored boat', () => {
  it('stands at the volts of its inlet (NEMA WD 6), Ohm: 1,800 VA at 120 V are 15 A', () => {
    expect(legsOf(withInlet('L5-30', [runs('heater', 1_800)]))).toEqual([['L1', 15]]);
    expect(legsOf(withInlet('SS2-50', [runs('range', 4_800, { legs: 'L1-L2' })]))).toEqual([
      ['L1', 20],
      ['L2', 20],
    ]);
    // Without a neutral everything hangs between the two lines: 4,800 VA at 240 V.
    expect(legsOf(withInlet('L6-30', [runs('charger', 4_800, { legs: 'L1-L2' })]))).toEqual([['L1', 20]]);
  });

  it('spreads over three lines: S = sqrt(3) U I', () => {
    const motor = runs('compressor', Math.sqrt(3) * 400 * 16, { legs: 'L1-L2-L3' });
    const heater = runs('heater', 2_300, { legs: 'L3' });
    expect(legsOf(withInlet('IEC-32-3P+N+E-400-6h', [motor, heater]))).toEqual([
      ['L1', 16],
      ['L2', 16],
      ['L3', 26],
    ]);
  });

  it('stands at the secondary of a transformer aboard', () => {
    const transformer = { place: 'aboard', primaryV: 240, secondaryV: 240, legs: 1, ratedVa: null } as const;
    const inlet = inletOf({ configurationIds: told(['SS2-50']), transformer: told(transformer) });
    const boat = boatOf({ inlets: [inlet], appliances: told([runs('heater', 2_400)]) });
    expect(legsOf(boat)).toEqual([['L1', 10]]);
  });

  it('asks where a leg is named that the inlet has not, and counts it in full on each', () => {
    const boat = withInlet('SS2-50', [runs('heater', 1_200, { legs: 'L3' })]);
    expect(legsOf(boat)).toEqual([
      ['L1', 10],
      ['L2', 10],
    ]);
    const { findings } = calculateBoatLoad(boatLoadInput(boat, 'either'));
    expect(findings.map(({ rule, level }) => `${level} ${rule}`)).toContain('confirm load.applianceLeg');
  });

  it('is stated by a figure, else by the appliances told, and by no assumption', () => {
    const appliances = [runs('heater', 1_500), runs('charger', 900)];
    expect(statedVaOf(withInlet('L5-30', appliances, { statedLoadVa: told(1_000) }))).toBe(1_000);
    expect(statedVaOf(withInlet('L5-30', appliances))).toBe(2_400);
    expect(statedVaOf(withInlet('L5-30', []))).toBeNull();
    expect(statedVaOf(boatOf({ appliances: null }))).toBeNull();
    expect(statedVaOf(boatOf({ appliances: assumed(appliances), statedLoadVa: assumed(500) }))).toBeNull();
    const unknown = calculateBoatLoad(boatLoadInput(boatOf({ appliances: null, inlets: [inletOf()] }), 'either'));
    expect(unknown.findings.map(({ rule }) => rule)).toContain('load.classDefault');
  });
});
