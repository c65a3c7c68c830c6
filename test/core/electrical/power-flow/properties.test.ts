import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { magnitude, subtractComplex } from '../../../../core/electrical/complex.ts';
import type { LoadDemand, PowerFlowElement, PowerFlowNetwork } from '../../../../core/electrical/power-flow/network.ts';
import { solvePowerFlow } from '../../../../core/electrical/power-flow/power-flow.ts';
import { voltageBetween } from '../../../../core/electrical/power-flow/results.ts';
import { solveDense } from './dense-solver.ts';
import { checkInvariants, solveAndCheck } from './invariants.ts';
import { powerFlowTolerances } from './tolerances.ts';

interface Place {
  readonly parent: number;
  readonly ohm: number;
  readonly reactance: number;
  readonly mutual: number;
  readonly loads: readonly {
    readonly pair: number;
    readonly model: number;
    readonly watts: number;
    readonly pf: number;
  }[];
}

const place = fc.record({
  parent: fc.nat(),
  ohm: fc.double({ min: 1e-4, max: 0.05, noNaN: true }),
  reactance: fc.double({ min: 0, max: 0.05, noNaN: true }),
  mutual: fc.double({ min: 0, max: 0.9, noNaN: true }),
  loads: fc.array(
    fc.record({
      pair: fc.nat(2),
      model: fc.nat(2),
      watts: fc.double({ min: 1, max: 900, noNaN: true }),
      pf: fc.double({ min: 0.7, max: 1, noNaN: true }),
    }),
    { maxLength: 3 },
  ),
});

const pairs = [
  ['1', 'n', 120],
  ['n', '2', 120],
  ['1', '2', 240],
] as const;

/** Split-phase places on a random tree, each with two legs and a neutral of its own. */
function splitPhaseTree(places: readonly Place[], linearOnly: boolean): PowerFlowNetwork {
  const elements: PowerFlowElement[] = [
    { kind: 'source', id: 's1', plus: '0.1', minus: '0.n', voltageV: 120, angleDeg: 0 },
    { kind: 'source', id: 's2', plus: '0.n', minus: '0.2', voltageV: 120, angleDeg: 0 },
    { kind: 'impedance', id: 'earth', from: '0.n', to: '0', resistanceOhm: 1, reactanceOhm: 0 },
  ];
  places.forEach(({ parent, ohm, reactance, mutual, loads }, at) => {
    const here = at + 1;
    const before = parent % here;
    const conductors = ['1', '2', 'n'].map((name) => ({ name, from: `${before}.${name}`, to: `${here}.${name}` }));
    elements.push({
      kind: 'line',
      id: `line ${here}`,
      conductors,
      resistanceOhm: conductors.map((_, i) => conductors.map((__, j) => (i === j ? ohm : 0))),
      reactanceOhm: conductors.map((_, i) => conductors.map((__, j) => (i === j ? reactance : mutual * reactance))),
    });
    loads.forEach(({ pair, model, watts, pf }, k) => {
      const [from, to, ratedV] = pairs[pair] ?? pairs[0];
      const reactivePowerVar = watts * Math.tan(Math.acos(pf));
      const conductance = ratedV ** 2 / (watts ** 2 + reactivePowerVar ** 2);
      const demands: LoadDemand[] = [
        {
          model: 'constantImpedance',
          resistanceOhm: watts * conductance,
          reactanceOhm: reactivePowerVar * conductance,
        },
        { model: 'constantPower', powerW: watts, reactivePowerVar },
        { model: 'constantCurrent', powerW: watts, reactivePowerVar, ratedV },
      ];
      const demand = demands[linearOnly ? 0 : model];
      if (demand === undefined) throw new Error('no such model');
      elements.push({ kind: 'load', id: `load ${here}.${k}`, from: `${here}.${from}`, to: `${here}.${to}`, demand });
    });
  });
  return { elements };
}

describe('power flow on random networks', () => {
  test('a tree balances amperes at every terminal and power in all, or says why it cannot', () => {
    let solved = 0;
    fc.assert(
      fc.property(fc.array(place, { minLength: 1, maxLength: 25 }), (places) => {
        const network = splitPhaseTree(places, false);
        const result = solvePowerFlow(network);
        if (result.status === 'solved') {
          solved++;
          checkInvariants(network, result);
        } else expect(result.problems[0]?.message).toBeTruthy();
      }),
      { numRuns: 300 },
    );
    expect(solved).toBeGreaterThan(200);
  });

  test('the sparse solver agrees with plain dense elimination', () => {
    fc.assert(
      fc.property(fc.array(place, { minLength: 1, maxLength: 12 }), (places) => {
        // Reactance of each conductor by itself, so that every impedance matrix can be inverted.
        const network = splitPhaseTree(places, true);
        const solution = solveAndCheck(network);
        for (const [terminal, volts] of solveDense(network)) {
          const own = voltageBetween(solution, terminal, '0');
          if (own === null) throw new Error(terminal);
          expect(magnitude(subtractComplex(own, volts))).toBeLessThanOrEqual(
            powerFlowTolerances.denseSolverRelative * 240,
          );
        }
      }),
      { numRuns: 100 },
    );
  });

  test('rings solve as well as trees', () => {
    fc.assert(
      fc.property(
        fc.array(place, { minLength: 3, maxLength: 12 }),
        fc.array(fc.tuple(fc.nat(), fc.nat(), fc.double({ min: 0.01, max: 10, noNaN: true })), { maxLength: 6 }),
        (places, chords) => {
          const tree = splitPhaseTree(places, true);
          const ties = chords.map(([a, b, resistanceOhm], at): PowerFlowElement => {
            const from = a % places.length;
            const other = b % places.length;
            const to = other === from ? (from + 1) % places.length : other;
            return {
              kind: 'impedance',
              id: `tie ${at}`,
              from: `${from + 1}.1`,
              to: `${to + 1}.n`,
              resistanceOhm,
              reactanceOhm: 0,
            };
          });
          const network = { elements: [...tree.elements, ...ties] };
          const solution = solveAndCheck(network);
          for (const [terminal, volts] of solveDense(network)) {
            const own = voltageBetween(solution, terminal, '0');
            if (own === null) throw new Error(terminal);
            expect(magnitude(subtractComplex(own, volts))).toBeLessThanOrEqual(2.4e-7);
          }
        },
      ),
      { numRuns: 100 },
    );
  });

  test('on a radial single-phase line more load never raises the volts there', () => {
    const section = fc.record({
      ohm: fc.double({ min: 1e-3, max: 0.05, noNaN: true }),
      reactance: fc.double({ min: 0, max: 0.05, noNaN: true }),
      watts: fc.double({ min: 0, max: 1000, noNaN: true }),
    });
    fc.assert(
      fc.property(
        fc.array(section, { minLength: 1, maxLength: 12 }),
        fc.nat(),
        fc.double({ min: 10, max: 2000, noNaN: true }),
        (sections, which, moreW) => {
          const line = (extraW: number): PowerFlowNetwork => ({
            elements: [
              { kind: 'source', id: 's', plus: '1', minus: '0', voltageV: 230, angleDeg: 0 },
              ...sections.flatMap(({ ohm, reactance, watts }, at): PowerFlowElement[] => [
                {
                  kind: 'impedance',
                  id: `cord ${at}`,
                  from: `${at + 1}`,
                  to: `${at + 2}`,
                  resistanceOhm: ohm,
                  reactanceOhm: reactance,
                },
                {
                  kind: 'load',
                  id: `load ${at}`,
                  from: `${at + 2}`,
                  to: '0',
                  demand: {
                    model: 'constantPower',
                    powerW: watts + (at === which % sections.length ? extraW : 0),
                    reactivePowerVar: 0.3 * watts,
                  },
                },
              ]),
            ],
          });
          const there = `${(which % sections.length) + 2}`;
          const before = voltageBetween(solveAndCheck(line(0)), there, '0');
          const after = solvePowerFlow(line(moreW));
          if (after.status !== 'solved' || before === null) return;
          const volts = voltageBetween(after, there, '0');
          if (volts === null) throw new Error(there);
          expect(magnitude(volts)).toBeLessThan(magnitude(before));
        },
      ),
      { numRuns: 200 },
    );
  });

  test('the names of lines change nothing but names', () => {
    fc.assert(
      fc.property(fc.array(place, { minLength: 1, maxLength: 12 }), (places) => {
        const network = splitPhaseTree(places, true);
        const swap = (terminal: string): string =>
          terminal.replace(/\.(1|n)$/, (_, leg) => (leg === '1' ? '.n' : '.1'));
        const renamed: PowerFlowNetwork = JSON.parse(
          JSON.stringify(network, (key, value) =>
            ['plus', 'minus', 'from', 'to'].includes(key) && typeof value === 'string' ? swap(value) : value,
          ),
        );
        const [one, other] = [solveAndCheck(network), solveAndCheck(renamed)];
        for (const terminal of one.terminals.keys()) {
          const a = voltageBetween(one, terminal, '0');
          const b = voltageBetween(other, swap(terminal), '0');
          if (a === null || b === null) throw new Error(terminal);
          expect(magnitude(subtractComplex(a, b))).toBeLessThanOrEqual(1e-9 * 240);
        }
      }),
      { numRuns: 50 },
    );
  });
});
