import fc from 'fast-check';
import { expect, it } from 'vitest';
import type { PowerFlowElement } from '../../../../core/electrical/power-flow/network.ts';
import { solvePowerFlow } from '../../../../core/electrical/power-flow/power-flow.ts';
import {
  type LoadPlace,
  type PlacedLoads,
  preparePowerFlow,
} from '../../../../core/electrical/power-flow/prepared-power-flow.ts';

interface Run {
  readonly behind: number;
  readonly ohm: number;
}

/** Split-phase runs of two legs and a neutral, each behind an earlier one, with a lamp on the first. */
function elementsOf(runs: readonly Run[], isEarthed: boolean): PowerFlowElement[] {
  const elements: PowerFlowElement[] = [
    { kind: 'source', id: 's1', plus: '0.1', minus: '0.n', voltageV: 120, angleDeg: 0 },
    { kind: 'source', id: 's2', plus: '0.n', minus: '0.2', voltageV: 120, angleDeg: 0 },
  ];
  if (isEarthed) {
    elements.push({ kind: 'impedance', id: 'earth', from: '0.n', to: '0', resistanceOhm: 0, reactanceOhm: 0 });
  }
  runs.forEach(({ behind, ohm }, at) => {
    for (const wire of ['1', '2', 'n']) {
      const ends = { from: `${behind % (at + 1)}.${wire}`, to: `${at + 1}.${wire}` };
      elements.push({ kind: 'impedance', id: `r${at}${wire}`, ...ends, resistanceOhm: ohm, reactanceOhm: ohm / 2 });
    }
  });
  const demand = { model: 'constantPower', powerW: 60, reactivePowerVar: 0 } as const;
  elements.push({ kind: 'load', id: 'lamp', from: '1.1', to: '1.n', demand });
  return elements;
}

const pairs = [
  ['1', 'n', 120],
  ['n', '2', 120],
  ['1', '2', 240],
] as const;

function placesOf(runs: readonly Run[]): LoadPlace[] {
  return runs.flatMap((_, at) =>
    pairs.map(([a, b, ratedV]) => ({ id: `p${at}${a}${b}`, from: `${at + 1}.${a}`, to: `${at + 1}.${b}`, ratedV })),
  );
}

const anyRuns = fc.array(fc.record({ behind: fc.nat(20), ohm: fc.constantFrom(0.005, 0.05, 0.2) }), {
  minLength: 1,
  maxLength: 6,
});
// Heavy ones collapse on the longer runs.
const anyLoads = fc.array(fc.constantFrom(0, 0, 0, 900, 4_000, 20_000), { minLength: 18, maxLength: 18 });

it('a prepared network finds the volts of the same network solved anew, near others or not, and fails in its words', () => {
  let solvedCount = 0;
  let failedCount = 0;
  fc.assert(
    fc.property(
      anyRuns,
      fc.boolean(),
      fc.constantFrom('constantPower' as const, 'constantCurrent' as const),
      fc.array(anyLoads, { minLength: 2, maxLength: 4 }),
      fc.boolean(),
      (runs, isEarthed, model, rounds, isNear) => {
        const elements = elementsOf(runs, isEarthed);
        const places = placesOf(runs);
        const prepared = preparePowerFlow(elements, places);
        let near: Parameters<typeof prepared.solve>[1] = null;
        for (const watts of rounds) {
          const powerW = Float64Array.from(places, (_, at) => watts[at] ?? 0);
          const loads: PlacedLoads = { model, powerW, reactivePowerVar: powerW.map((power) => power * 0.6) };
          const found = prepared.solve(loads, isNear ? near : null);
          const anew = solvePowerFlow({
            elements: [
              ...elements,
              ...places.flatMap(({ id, from, to, ratedV }, at): PowerFlowElement[] => {
                const power = { powerW: powerW[at] ?? 0, reactivePowerVar: (powerW[at] ?? 0) * 0.6 };
                if (power.powerW === 0) return [];
                const demand = model === 'constantPower' ? { model, ...power } : { model, ...power, ratedV };
                return [{ kind: 'load', id, from, to, demand }];
              }),
            ],
          });
          expect(found.status).toBe(anew.status);
          if (found.status !== 'solved' || anew.status !== 'solved') {
            failedCount += 1;
            expect(found).toEqual(anew);
            continue;
          }
          solvedCount += 1;
          near = found;
          for (const [terminal, { reference, voltageV, fed }] of anew.terminals) {
            const same = found.terminals.get(terminal);
            expect(same).toMatchObject({ reference, fed });
            expect(same?.voltageV.re).toBeCloseTo(voltageV.re, 8);
            expect(same?.voltageV.im).toBeCloseTo(voltageV.im, 8);
          }
        }
      },
    ),
    { numRuns: 120 },
  );
  expect(solvedCount).toBeGreaterThan(100);
  expect(failedCount).toBeGreaterThan(20);
});
