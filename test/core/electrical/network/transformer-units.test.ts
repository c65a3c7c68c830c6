import { describe, expect, it } from 'vitest';
import { magnitude } from '../../../../core/electrical/complex.ts';
import type { Pole } from '../../../../core/electrical/network/terminals.ts';
import {
  centreTappedUnit,
  transformerUnits,
  twoWindingUnit,
} from '../../../../core/electrical/network/transformer-units.ts';
import type { PowerFlowElement, TransformerElement } from '../../../../core/electrical/power-flow/network.ts';
import { type PowerFlowSolution, voltageBetween } from '../../../../core/electrical/power-flow/results.ts';
import type { Transformer } from '../../../../core/inventory/inventory.ts';
import type { SupplySystem } from '../../../../core/standards/supply-system.ts';
import { supplySystem } from '../../../../core/standards/supply-systems.ts';
import { solveAndCheck } from '../power-flow/invariants.ts';
import { type PublishedCase, readPublishedCases, toNetwork } from '../power-flow/published-case.ts';

function published(name: string): PublishedCase {
  const found = readPublishedCases().find((each) => each.case === name);
  if (found === undefined) throw new Error(name);
  return found;
}

function systemOf(id: string): SupplySystem {
  const found = supplySystem(id);
  if (found === null) throw new Error(id);
  return found;
}

/** The published network with its transformers built from their nameplates instead. */
function solveWith(given: PublishedCase, units: readonly TransformerElement[]): PowerFlowSolution {
  const others = toNetwork(given).elements.filter(({ kind }) => kind !== 'transformer');
  return solveAndCheck({ elements: [...others, ...units] });
}

function expectPublishedVolts(given: PublishedCase, solution: PowerFlowSolution): void {
  const { mag_abs_v, rect_abs_v, mag_relative = 0 } = given.recommended_tolerance;
  let held = 0;
  for (const figure of given.expected) {
    if (figure.quantity !== 'voltage' || figure.suspect) continue;
    const volts = voltageBetween(solution, figure.from, figure.to);
    if (volts === null) throw new Error(`${figure.from} to ${figure.to}`);
    const stated = mag_abs_v ?? (rect_abs_v === undefined ? mag_relative * figure.mag : Math.SQRT2 * rect_abs_v);
    const digit = figure.mag_decimals === null ? 0 : 0.5 * 10 ** -figure.mag_decimals;
    expect(Math.abs(magnitude(volts) - figure.mag)).toBeLessThanOrEqual(Math.max(stated, digit));
    held++;
  }
  expect(held).toBeGreaterThan(2);
}

describe('transformers from published nameplates', () => {
  it('50 kVA centre-tapped, 1.1 % R, 1.8 % X: ohms and volts of Kersting example 11.1', () => {
    const given = published('kersting_ex11_1_center_tap');
    const unit = centreTappedUnit(
      'T',
      { ratedVa: 50_000, percentR: 1.1, percentX: 1.8 },
      { plus: '1.A', minus: '0', ratedV: 7200 },
      { line1: '2.1', neutral: '0', line2: '2.2', legV: 120 },
    );
    const wanted = toNetwork(given).elements.find(({ kind }) => kind === 'transformer');
    if (wanted?.kind !== 'transformer') throw new Error('no transformer');
    wanted.windings.forEach(({ resistanceOhm, reactanceOhm }, at) => {
      expect(unit.windings[at]?.resistanceOhm).toBeCloseTo(resistanceOhm, 12);
      expect(unit.windings[at]?.reactanceOhm).toBeCloseTo(reactanceOhm, 12);
    });
    expectPublishedVolts(given, solveWith(given, [unit]));
  });

  it('25 and two 10 kVA as a 240/120 V four-wire bank: volts of the IEEE centre-tapped test feeder', () => {
    const given = published('ieee_wye_delta_ct_grounded_wye');
    const small = { ratedVa: 10_000, percentR: 1.6, percentX: 1.4 };
    const solution = solveWith(given, [
      centreTappedUnit(
        'TA',
        { ratedVa: 25_000, percentR: 1.2, percentX: 1.7 },
        { plus: '2.A', minus: '0', ratedV: 7200 },
        { line1: '3.a', neutral: '0', line2: '3.b', legV: 120 },
      ),
      twoWindingUnit(
        'TB',
        small,
        { plus: '2.B', minus: '0', ratedV: 7200 },
        { plus: '3.b', minus: '3.c', ratedV: 240 },
      ),
      twoWindingUnit(
        'TC',
        small,
        { plus: '2.C', minus: '0', ratedV: 7200 },
        { plus: '3.c', minus: '3.a', ratedV: 240 },
      ),
    ]);
    expectPublishedVolts(given, solution);
  });

  // 12.47/4.16 kV as supplies of their own: the marina's systems end at 480 V.
  const yAt = (lineToLineV: number, hasNeutral: boolean): SupplySystem => ({
    ...systemOf('480Y/277'),
    id: `${lineToLineV}Y`,
    lines: systemOf('480Y/277').lines.map((line) => ({ ...line, voltageV: lineToLineV / Math.sqrt(3) })),
    hasNeutral,
  });
  const side = (system: SupplySystem, bus: string) => ({
    system,
    terminals: new Map<Pole, string>([
      ['L1', `${bus}.a`],
      ['L2', `${bus}.b`],
      ['L3', `${bus}.c`],
      ['N', '0'],
    ]),
  });

  it.each([
    ['ieee4_dyg_stepdown_balanced', 'deltaWye'],
    ['ieee4_gyyg_stepdown_balanced', 'wyeWye'],
    ['ieee4_gyyg_stepdown_unbalanced', 'wyeWye'],
  ] as const)('6,000 kVA, 1 % R, 6 % X: volts of %s', (name, connection) => {
    const given = published(name);
    const nameplate: Transformer = { ratedKva: 6000, connection, percentR: 1, percentX: 6 };
    const units = transformerUnits('T', nameplate, side(yAt(12_470, true), '2'), side(yAt(4160, true), '3'));
    if ('datum' in units) throw new Error(units.why);
    expect(units.map(({ windings }) => windings.map(({ ratedVa }) => ratedVa))).toEqual(Array(3).fill([2e6, 2e6]));
    const solution = solveWith(given, units);
    expectPublishedVolts(given, solution);
    // Angles tell the 30 degrees of lag from lead; the published ones are printed to 0.1 degree.
    for (const figure of given.expected) {
      if (figure.quantity !== 'voltage' || figure.deg === null || figure.suspect) continue;
      const volts = voltageBetween(solution, figure.from, figure.to);
      const turn = (Math.atan2(volts?.im ?? 0, volts?.re ?? 0) * 180) / Math.PI - figure.deg;
      expect(Math.abs(turn - 360 * Math.round(turn / 360))).toBeLessThanOrEqual(0.1);
    }
  });
});

const supply = (id: string, prefix: string, poles: readonly Pole[]) => ({
  system: systemOf(id),
  terminals: new Map(poles.map((pole) => [pole, `${prefix}.${pole}`] as const)),
});
const three: readonly Pole[] = ['L1', 'L2', 'L3'];
const sourceOf = (id: string): PowerFlowElement[] =>
  systemOf(id).lines.map(({ name, voltageV, angleDeg }) => ({
    kind: 'source',
    id: name,
    plus: `h.${name}`,
    minus: 'h.N',
    voltageV,
    angleDeg,
  }));

describe('every connection at no load gives the nominal volts of its secondary', () => {
  it.each([
    ['centreTapped', '480Y/277', ['L1', 'L2'], '120/240-split-phase'],
    ['centreTapped', '480Y/277', ['L2', 'N'], '120/240-split-phase'],
    ['centreTapped', '480-delta', ['L2', 'L3'], '120-single-phase'],
    ['highLegBank', '480-delta', three, '240/120-high-leg-delta'],
    ['highLegBank', '480Y/277', [...three, 'N'], '240/120-high-leg-delta'],
    ['deltaWye', '480-delta', three, '208Y/120'],
    ['deltaWye', '400Y/230', [...three, 'N'], '400Y/230'],
    ['wyeWye', '480Y/277', [...three, 'N'], '208Y/120'],
  ] as const)('%s on %s by %j to %s', (connection, primaryId, primaryPoles, secondaryId) => {
    const secondary = systemOf(secondaryId);
    const poles: Pole[] = [...secondary.lines.map(({ name }) => name), 'N'];
    const units = transformerUnits(
      'T',
      { ratedKva: 75, connection, percentR: 1.5, percentX: 3 },
      supply(primaryId, 'h', primaryPoles),
      supply(secondaryId, 'x', poles),
    );
    if ('datum' in units) throw new Error(units.why);
    const solution = solveAndCheck({ elements: [...sourceOf(primaryId), ...units] });
    const nominal = (a: Pole, b: Pole): number => {
      const [one, other] = [a, b].map((pole) => secondary.lines.find(({ name }) => name === pole));
      const angle = (((one?.angleDeg ?? 0) - (other?.angleDeg ?? 0)) * Math.PI) / 180;
      const [p, q] = [one?.voltageV ?? 0, other?.voltageV ?? 0];
      return Math.sqrt(p * p + q * q - 2 * p * q * Math.cos(angle));
    };
    for (const a of poles) {
      for (const b of poles) {
        if (a === b) continue;
        const volts = voltageBetween(solution, `x.${a}`, `x.${b}`);
        expect(volts && magnitude(volts), `${a} to ${b}`).toBeCloseTo(nominal(a, b), 6);
      }
    }
    for (const { currents } of solution.elements.values()) {
      for (const { currentA } of currents) expect(magnitude(currentA)).toBeLessThan(1e-6);
    }
  });
});

describe('a nameplate that cannot be used', () => {
  const sound: Transformer = { ratedKva: 75, connection: 'deltaWye', percentR: 1.5, percentX: 3 };
  it.each([
    ['transformer.ratedKva', { ratedKva: null }],
    ['transformer.ratedKva', { ratedKva: 0 }],
    ['transformer.percentR', { percentR: null }],
    ['transformer.percentX', { percentX: null }],
    ['transformer.percentX', { percentR: 0, percentX: 0 }],
    ['lines', { connection: 'centreTapped' }],
    ['transformer.connection', { connection: 'highLegBank' }],
    ['transformer.connection', { connection: 'wyeWye' }],
  ] as const)('names %s: %j', (datum, wrong) => {
    const primary = supply('480-delta', 'h', three);
    const found = transformerUnits('T', { ...sound, ...wrong }, primary, supply('208Y/120', 'x', [...three, 'N']));
    expect(found).toMatchObject({ datum });
  });

  it('names the connection where a centre tap cannot give the lines of its secondary', () => {
    const nameplate: Transformer = { ...sound, connection: 'centreTapped' };
    const primary = supply('480Y/277', 'h', ['L1', 'L2']);
    const found = transformerUnits('T', nameplate, primary, supply('208Y/120', 'x', [...three, 'N']));
    expect(found).toMatchObject({ datum: 'transformer.connection' });
  });
});
