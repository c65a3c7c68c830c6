import { describe, expect, it } from 'vitest';
import { type Complex, complexZero, magnitude, subtractComplex } from '../../../../../core/electrical/complex.ts';
import { networkOf } from '../../../../../core/electrical/hook-up/circuit/circuit.ts';
import { loadAt } from '../../../../../core/electrical/hook-up/circuit/load-cases.ts';
import { prepareCircuit } from '../../../../../core/electrical/hook-up/circuit/solve-circuit.ts';
import type { PowerFlowElement } from '../../../../../core/electrical/power-flow/network.ts';
import { currentOf, voltageBetween } from '../../../../../core/electrical/power-flow/results.ts';
import { solveDense } from '../../power-flow/dense-solver.ts';
import { solveAndCheck } from '../../power-flow/invariants.ts';
import { expectAsSimulated, isSimulatorInstalled } from '../../power-flow/simulator.ts';
import { circuits, type Solvable } from './circuits.ts';
import { solveChecked } from './solve-checked.ts';
import { hookUpTolerances } from './tolerances.ts';

const cases = Object.entries(circuits);

function expectClose(what: string, own: Complex | null, theirs: Complex | null, largest: number) {
  if (own === null || theirs === null) throw new Error(`${what}: no answer`);
  expect(magnitude(subtractComplex(own, theirs)), what).toBeLessThanOrEqual(
    hookUpTolerances.otherSolversRelative * magnitude(theirs) + 1e-9 * largest,
  );
}

/** Every load and conductor of the circuit, by the service's solver and by the power flow's. */
function expectLikePowerFlow(given: Solvable) {
  const own = solveChecked(given);
  const network = networkOf(given.circuit, given.loads, given.open);
  const other = solveAndCheck({ elements: network.elements.map(asImpedance) });
  for (const element of network.elements) {
    if (element.kind !== 'impedance' && element.kind !== 'load') continue;
    const volts = voltageBetween(other, element.from, element.to);
    if (element.kind === 'load') expectClose(element.id, own.between(element.from, element.to), volts, 240);
    expectClose(element.id, own.currentA(element.id), currentOf(other, element.id), 100);
  }
}

describe('a hook-up circuit, solved', () => {
  it.each(cases)('%s: as the power flow solves it, in balance', (_, given) => {
    expectLikePowerFlow(given);
  });

  it.each(cases)('%s: with loads of constant power and of constant current, too', (_, given) => {
    for (const model of ['constantPower', 'constantCurrent'] as const) {
      const loads = given.circuit.ports
        .filter(({ transformer }) => transformer !== 'primary')
        .map((port, i) =>
          loadAt(
            port,
            model === 'constantPower'
              ? { model, powerW: 300 + 70 * i, reactivePowerVar: 40 * i }
              : { model, powerW: 300 + 70 * i, reactivePowerVar: 0, ratedV: port.ratedV },
          ),
        );
      const solution = prepareCircuit(given.circuit.elements).solve(loads, given.open);
      // A floating neutral or leg holds no constant power; where it does not, the two solvers agree that it does not.
      if (solution.status !== 'solved' || loads.some(({ from, to }) => isAlmostDead(solution.between(from, to))))
        continue;
      expectLikePowerFlow({ ...given, loads });
    }
  });

  it.each(
    cases.filter(([, { circuit }]) => circuit.elements.every(({ kind }) => kind === 'source' || kind === 'impedance')),
  )('%s: as a plain nodal solve has it', (_, given) => {
    const own = solveChecked(given);
    // The plain solver wants every terminal tied to ground: what is open and bare is left out.
    const plain = solveDense(reachedOnly(networkOf(given.circuit, given.loads, given.open).elements));
    for (const [terminal, volts] of plain) expectClose(terminal, own.between(terminal, '0'), volts, 240);
  });
});

/** The power flow refuses a load on a line that only other loads feed; as an impedance it is part of the circuit. */
function asImpedance(element: PowerFlowElement): PowerFlowElement {
  if (element.kind !== 'load' || element.demand.model !== 'constantImpedance') return element;
  const { id, from, to, demand } = element;
  return { kind: 'impedance', id, from, to, resistanceOhm: demand.resistanceOhm, reactanceOhm: demand.reactanceOhm };
}

function isAlmostDead(volts: Complex | null): boolean {
  return volts === null || magnitude(volts) < 20;
}

function reachedOnly(elements: readonly PowerFlowElement[]) {
  const reached = new Set(['0', ...elements.flatMap((each) => (each.kind === 'source' ? [each.plus] : []))]);
  const links = elements.filter((each) => each.kind === 'impedance' || each.kind === 'load');
  for (let grows = true; grows; ) {
    grows = false;
    for (const { from, to } of links) {
      if (reached.has(from) === reached.has(to)) continue;
      reached.add(from).add(to);
      grows = true;
    }
  }
  return {
    elements: elements.filter((each) => !('from' in each) || (reached.has(each.from) && reached.has(each.to))),
  };
}

// ngspice solves the same circuits from the same description: every volt and ampere within 0.01 %.
describe.skipIf(!isSimulatorInstalled)('hook-up circuits against the circuit simulator ngspice', () => {
  it.each(cases)('%s', (_, given) => {
    const network = networkOf(given.circuit, given.loads, given.open);
    const own = solveChecked(given);
    const supplied = (plus: string) => {
      const out = network.elements.filter((each) => each.kind === 'impedance' && each.from === plus);
      // Into the source at its plus, as the simulator counts it.
      return out.reduce((sum, { id }) => subtractComplex(sum, own.currentA(id)), complexZero);
    };
    expectAsSimulated(
      network,
      60,
      (terminal) => own.between(terminal, '0'),
      (elementId, part) => {
        const element = network.elements.find(({ id }) => id === elementId);
        if (element?.kind === 'source') return supplied(element.plus);
        return part === undefined ? own.currentA(elementId) : own.windingA(elementId, part);
      },
    );
  });
});
