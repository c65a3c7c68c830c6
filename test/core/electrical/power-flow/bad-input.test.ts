import { describe, expect, test } from 'vitest';
import type { LoadDemand, PowerFlowElement } from '../../../../core/electrical/power-flow/network.ts';
import { solvePowerFlow } from '../../../../core/electrical/power-flow/power-flow.ts';
import { currentOf, voltageBetween } from '../../../../core/electrical/power-flow/results.ts';
import { solveAndCheck } from './invariants.ts';

const source = (plus: string, minus = '0', voltageV = 120): PowerFlowElement => ({
  kind: 'source',
  id: `source ${plus}`,
  plus,
  minus,
  voltageV,
  angleDeg: 0,
});
const wire = (from: string, to: string, resistanceOhm = 0.1): PowerFlowElement => ({
  kind: 'impedance',
  id: `${from}-${to}`,
  from,
  to,
  resistanceOhm,
  reactanceOhm: 0,
});
const watts = (powerW: number): LoadDemand => ({ model: 'constantPower', powerW, reactivePowerVar: 0 });
const load = (from: string, to: string, demand: LoadDemand): PowerFlowElement => ({
  kind: 'load',
  id: `load ${from}-${to}`,
  from,
  to,
  demand,
});
const transformer = (
  primary: readonly [string, string],
  secondary: readonly [string, string],
  ratedVa: number,
): PowerFlowElement => ({
  kind: 'transformer',
  id: 'T',
  windings: [
    { name: 'h', plus: primary[0], minus: primary[1], ratedV: 480, resistanceOhm: 0.1, reactanceOhm: 0.2, ratedVa },
    { name: 'x', plus: secondary[0], minus: secondary[1], ratedV: 240, resistanceOhm: 0, reactanceOhm: 0.05, ratedVa },
  ],
});

/** The one problem that a network has: its status, reason, and the part that it names. */
function problemOf(...elements: PowerFlowElement[]) {
  const result = solvePowerFlow({ elements });
  if (result.status === 'solved') throw new Error('solved');
  const [problem] = result.problems;
  expect(problem?.message).toBeTruthy();
  expect(problem?.message).not.toMatch(/undefined/);
  return [result.status, problem?.reason, problem?.elementId, problem?.terminal];
}

describe('a network that has no answer says which part and why', () => {
  test('nothing at all', () => expect(problemOf()).toEqual(['invalid', 'noSource', null, null]));

  test('a load on a line that no source reaches', () => {
    expect(problemOf(source('a'), wire('b', 'c'), load('c', '0', watts(100)))).toEqual([
      'invalid',
      'deadLoad',
      'load c-0',
      'c',
    ]);
  });

  test('a load behind an open switch', () => {
    const open: PowerFlowElement = { kind: 'switch', id: 'breaker', from: 'a', to: 'b', closed: false };
    expect(problemOf(source('a'), open, load('b', '0', watts(100)))).toEqual(['invalid', 'deadLoad', 'load b-0', 'b']);
  });

  test('a transformer of 0 kVA', () => {
    expect(problemOf(source('a'), transformer(['a', '0'], ['b', '0'], 0))).toEqual(['invalid', 'badValue', 'T', null]);
  });

  test('a ring without impedance', () => {
    const closed = (id: string): PowerFlowElement => ({ kind: 'switch', id, from: 'a', to: 'b', closed: true });
    expect(problemOf(source('a'), closed('one'), closed('two'))).toEqual(['invalid', 'idealLoop', 'two', 'a']);
  });

  test('two sources of different volts in parallel', () => {
    expect(problemOf(source('a'), { ...source('a'), id: 'other' })).toEqual(['invalid', 'idealLoop', 'other', 'a']);
  });

  test('coupled conductors of zero length in parallel', () => {
    const line: PowerFlowElement = {
      kind: 'line',
      id: 'pair',
      conductors: [
        { name: '1', from: 'a', to: 'b' },
        { name: '2', from: 'a', to: 'b' },
      ],
      resistanceOhm: [
        [0, 0],
        [0, 0],
      ],
      reactanceOhm: [
        [0, 0],
        [0, 0],
      ],
    };
    const [status, reason, element] = problemOf(source('a'), line, load('b', '0', watts(100)));
    expect([status, reason, element]).toEqual(['singular', 'undetermined', 'pair']);
  });

  test('one load with an open neutral', () => {
    expect(problemOf(source('a'), wire('a', 'b'), wire('n', 'far'), load('b', 'n', watts(500)))).toEqual([
      'notConverged',
      'noReturnPath',
      'load b-n',
      'n',
    ]);
  });

  test('one load with an open neutral beside others that are served', () => {
    const served = load('b', '0', watts(800));
    expect(problemOf(source('a'), wire('a', 'b'), wire('n', 'far'), served, load('b', 'n', watts(500)))).toEqual([
      'notConverged',
      'noReturnPath',
      'load b-n',
      'n',
    ]);
  });

  test('a load across two terminals of one potential', () => {
    const [status, , element] = problemOf(source('a'), wire('a', 'b'), wire('a', 'c'), load('b', 'c', watts(5)));
    expect([status, element]).toEqual(['notConverged', 'load b-c']);
  });

  test('two loads on one leg that share an open neutral', () => {
    const second: PowerFlowElement = { ...load('b', 'n', watts(300)), id: 'second' };
    const [status, reason] = problemOf(source('a'), wire('a', 'b'), load('b', 'n', watts(500)), second);
    expect([status, reason]).toEqual(['notConverged', 'collapse']);
  });

  test('a load beyond what the line can carry', () => {
    // A source of V behind R delivers at most V^2 / 4R: 36 kW here.
    expect(problemOf(source('a'), wire('a', 'b'), load('b', '0', watts(36_100)))).toEqual([
      'notConverged',
      'collapse',
      'load b-0',
      'b',
    ]);
  });

  test.each([Number.NaN, Number.POSITIVE_INFINITY, -1, 1e300])('a resistance of %s', (ohm) => {
    expect(problemOf(source('a'), wire('a', 'b', ohm))).toEqual(['invalid', 'badValue', 'a-b', null]);
  });

  test('rings without end: every terminal of many joined to every other', () => {
    const terminals = Array.from({ length: 60 }, (_, at) => `t${at}`);
    const mesh = terminals.flatMap((from, at) => terminals.slice(at + 1).map((to) => wire(from, to)));
    const result = solvePowerFlow({ elements: [source('t0'), ...mesh] });
    expect(result).toMatchObject({ status: 'invalid', problems: [{ reason: 'tooMeshed' }] });
    expect(result.status !== 'solved' && result.problems[0]?.message).toMatch(/^Too many rings meet near .t\d+/);
  });

  test('two elements of one id', () => {
    expect(problemOf(source('a'), wire('a', 'b'), wire('a', 'b')).slice(0, 3)).toEqual([
      'invalid',
      'duplicateId',
      'a-b',
    ]);
  });

  test('a matrix of the wrong size', () => {
    const line: PowerFlowElement = {
      kind: 'line',
      id: 'l',
      conductors: [{ name: '1', from: 'a', to: 'b' }],
      resistanceOhm: [[1, 2]],
      reactanceOhm: [],
    };
    expect(problemOf(source('a'), line).slice(0, 3)).toEqual(['invalid', 'badValue', 'l']);
  });

  test('a load whose both ends are one terminal', () => {
    expect(problemOf(source('a'), load('a', 'a', watts(1)))).toEqual(['invalid', 'badValue', 'load a-a', 'a']);
  });
});

describe('odd networks that do have an answer', () => {
  test('just inside what the line can carry, the upper of the two answers', () => {
    const solution = solveAndCheck({ elements: [source('a'), wire('a', 'b'), load('b', '0', watts(35_900))] });
    // V = (E + sqrt(E^2 - 4 R P)) / 2, from V (E - V) / R = P.
    expect(voltageBetween(solution, 'b', '0')?.re).toBeCloseTo((120 + Math.sqrt(14_400 - 0.4 * 35_900)) / 2, 6);
  });

  test('a conductor of zero length is a link', () => {
    const solution = solveAndCheck({ elements: [source('a'), wire('a', 'b', 0), load('b', '0', watts(1200))] });
    expect(currentOf(solution, 'a-b')?.re).toBeCloseTo(10, 9);
  });

  test('a ring with impedance divides the current', () => {
    const solution = solveAndCheck({
      elements: [source('a'), wire('a', 'b', 1), { ...wire('a', 'b', 2), id: 'other' }, load('b', '0', watts(100))],
    });
    const one = currentOf(solution, 'a-b')?.re ?? 0;
    expect(one).toBeCloseTo(2 * (currentOf(solution, 'other')?.re ?? 0), 9);
  });

  test('a broken neutral leaves two legs in series', () => {
    // 240 V across 12 ohm and 24 ohm in series: 80 V and 160 V.
    const ohm = (resistanceOhm: number): LoadDemand => ({ model: 'constantImpedance', resistanceOhm, reactanceOhm: 0 });
    const solution = solveAndCheck({
      elements: [source('l1'), source('0', 'l2'), load('l1', 'n', ohm(12)), load('n', 'l2', ohm(24))],
    });
    expect(voltageBetween(solution, 'l1', 'n')?.re).toBeCloseTo(80, 9);
    expect(voltageBetween(solution, 'n', 'l2')?.re).toBeCloseTo(160, 9);
  });

  test('a secondary that nothing ties to ground is solved; its volts to ground are unknown', () => {
    const demand: LoadDemand = { model: 'constantImpedance', resistanceOhm: 24, reactanceOhm: 0 };
    const solution = solveAndCheck({
      elements: [source('a', '0', 480), transformer(['a', '0'], ['b', 'c'], 5000), load('b', 'c', demand)],
    });
    expect(voltageBetween(solution, 'b', 'c')?.re).toBeGreaterThan(238);
    expect(voltageBetween(solution, 'b', '0')).toBeNull();
    expect(solution.elements.get('T')?.loading).toBeCloseTo(0.48, 2);
  });

  test('dead conductors and transformers without load carry nothing', () => {
    const solution = solveAndCheck({
      elements: [
        source('a'),
        load('a', '0', watts(120)),
        wire('x', 'y'),
        transformer(['y', 'z'], ['u', 'v'], 1000),
        wire('u', 'w'),
      ],
    });
    expect(currentOf(solution, 'u-w')).toEqual({ re: 0, im: 0 });
    expect(solution.terminals.get('w')?.fed).toBe(false);
    expect(voltageBetween(solution, 'w', 'a')).toBeNull();
  });

  test('a load of 0 W takes nothing, with an open end too', () => {
    const solution = solveAndCheck({ elements: [source('a'), wire('a', 'b'), load('b', 'n', watts(0))] });
    expect(currentOf(solution, 'load b-n')).toEqual({ re: 0, im: 0 });
    expect(voltageBetween(solution, 'b', 'n')).toBeNull();
  });
});
