import fc from 'fast-check';
import { expect, test } from 'vitest';
import type { PowerFlowElement } from '../../../../core/electrical/power-flow/network.ts';
import { solvePowerFlow } from '../../../../core/electrical/power-flow/power-flow.ts';
import { checkInvariants } from './invariants.ts';

const terminal = fc.constantFrom('0', 'a', 'b', 'c', 'd', 'e');
const anyOhm = fc.constantFrom(0, 1e-6, 0.01, 1, 50, 1e6);
const demand = fc.oneof(
  fc.record({
    model: fc.constant('constantPower' as const),
    powerW: fc.constantFrom(-500, 0, 1, 100, 2000, 1e9),
    reactivePowerVar: fc.constantFrom(0, 50, -50),
  }),
  fc.record({
    model: fc.constant('constantCurrent' as const),
    powerW: fc.constantFrom(0, 100, 2000),
    reactivePowerVar: fc.constantFrom(0, 50),
    ratedV: fc.constantFrom(120, 240),
  }),
  fc.record({ model: fc.constant('constantImpedance' as const), resistanceOhm: anyOhm, reactanceOhm: anyOhm }),
);
const ends = fc.record({ from: terminal, to: terminal });
const element: fc.Arbitrary<PowerFlowElement> = fc.oneof(
  fc.record({
    kind: fc.constant('source' as const),
    id: fc.uuid(),
    plus: terminal,
    minus: terminal,
    voltageV: fc.constantFrom(120, 240, 7200),
    angleDeg: fc.constantFrom(0, 120, -120, 180),
  }),
  ends.chain((pair) =>
    fc.record({
      kind: fc.constant('impedance' as const),
      id: fc.uuid(),
      from: fc.constant(pair.from),
      to: fc.constant(pair.to),
      resistanceOhm: anyOhm,
      reactanceOhm: anyOhm,
    }),
  ),
  fc.record({
    kind: fc.constant('switch' as const),
    id: fc.uuid(),
    from: terminal,
    to: terminal,
    closed: fc.boolean(),
  }),
  fc.record({ kind: fc.constant('load' as const), id: fc.uuid(), from: terminal, to: terminal, demand }),
  fc.record({
    kind: fc.constant('transformer' as const),
    id: fc.uuid(),
    windings: fc.tuple(terminal, terminal, terminal, terminal, anyOhm, anyOhm).map(([a, b, c, d, r, x]) => [
      { name: 'h', plus: a, minus: b, ratedV: 240, resistanceOhm: r, reactanceOhm: x },
      { name: 'x', plus: c, minus: d, ratedV: 120, resistanceOhm: x, reactanceOhm: r },
    ]),
  }),
  fc.record({
    kind: fc.constant('line' as const),
    id: fc.uuid(),
    conductors: fc.tuple(terminal, terminal, terminal, terminal).map(([a, b, c, d]) => [
      { name: '1', from: a, to: b },
      { name: '2', from: c, to: d },
    ]),
    resistanceOhm: fc.constantFrom(
      [
        [0, 0],
        [0, 0],
      ],
      [
        [1, 0.1],
        [0.1, 1],
      ],
      [
        [1, 1],
        [1, 1],
      ],
    ),
    reactanceOhm: fc.constantFrom(
      [
        [0, 0],
        [0, 0],
      ],
      [
        [1, 0.5],
        [0.5, 1],
      ],
    ),
  }),
);

test('any network at all is either solved to the laws or refused with a reason, never thrown at', () => {
  const seen = { solved: 0, invalid: 0, singular: 0, notConverged: 0 };
  fc.assert(
    fc.property(fc.array(element, { maxLength: 12 }), (elements) => {
      const network = { elements };
      const result = solvePowerFlow(network);
      seen[result.status]++;
      if (result.status !== 'solved') {
        expect(result.problems.length).toBeGreaterThan(0);
        for (const { elementId, terminal: at, message } of result.problems) {
          expect(message).not.toMatch(/undefined|NaN/);
          if (elementId !== null) expect(elements.some(({ id }) => id === elementId)).toBe(true);
          if (result.status !== 'invalid') expect(elementId ?? at).toBeTruthy();
        }
        return;
      }
      for (const { currents } of result.elements.values()) {
        for (const { currentA } of currents) expect(Number.isFinite(currentA.re + currentA.im)).toBe(true);
      }
      checkInvariants(network, result);
      // A load of constant power that is solved gets its power.
      for (const load of elements) {
        if (load.kind !== 'load' || load.demand.model !== 'constantPower') continue;
        const { powerW, reactivePowerVar } = load.demand;
        const taken = result.elements.get(load.id)?.power;
        const off = Math.hypot((taken?.powerW ?? 1e99) - powerW, (taken?.reactivePowerVar ?? 1e99) - reactivePowerVar);
        expect(off).toBeLessThanOrEqual(1e-9 * Math.hypot(powerW, reactivePowerVar));
      }
    }),
    { numRuns: 2000 },
  );
  expect(seen.solved).toBeGreaterThan(50);
  expect(seen.invalid).toBeGreaterThan(50);
});
