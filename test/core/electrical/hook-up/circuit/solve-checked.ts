import { expect } from 'vitest';
import {
  addComplex,
  type Complex,
  complexZero,
  conjugate,
  magnitude,
  multiplyComplex,
  scaleComplex,
} from '../../../../../core/electrical/complex.ts';
import { networkOf } from '../../../../../core/electrical/hook-up/circuit/circuit.ts';
import { prepareCircuit, type SolvedCircuit } from '../../../../../core/electrical/hook-up/circuit/solve-circuit.ts';
import type { Solvable } from './circuits.ts';
import { hookUpTolerances } from './tolerances.ts';

/** Solves, and holds the answer against Kirchhoff and Tellegen: currents at every terminal, power in = used + lost. */
export function solveChecked({ circuit, loads, open }: Solvable): SolvedCircuit {
  const solution = prepareCircuit(circuit.elements).solve(loads, open);
  if (solution.status !== 'solved') throw new Error(`${solution.status} at ${solution.where}`);
  const sums = new Map<string, Complex>();
  const sizes = new Map<string, number>();
  let largest = 0;
  let supplied = 0;
  let taken = 0;
  const flow = (from: string, to: string, amperes: Complex) => {
    for (const [terminal, signed] of [
      [from, amperes],
      [to, scaleComplex(amperes, -1)],
    ] as const) {
      sums.set(terminal, addComplex(sums.get(terminal) ?? complexZero, signed));
      sizes.set(terminal, (sizes.get(terminal) ?? 0) + magnitude(amperes));
    }
    largest = Math.max(largest, magnitude(amperes));
    const volts = solution.between(from, to) ?? complexZero;
    taken += multiplyComplex(volts, conjugate(amperes)).re;
  };
  const { elements } = networkOf(circuit, loads, open);
  for (const element of elements) {
    if (element.kind === 'impedance' || element.kind === 'load')
      flow(element.from, element.to, solution.currentA(element.id));
    else if (element.kind === 'transformer')
      for (const { name, plus, minus } of element.windings) flow(plus, minus, solution.windingA(element.id, name));
  }
  // A link joins two terminals into one; a source gives what its terminal lacks.
  for (const element of elements) {
    if (element.kind !== 'switch') continue;
    sums.set(element.to, addComplex(sums.get(element.to) ?? complexZero, sums.get(element.from) ?? complexZero));
    sums.delete(element.from);
  }
  const sources = new Map(elements.flatMap((each) => (each.kind === 'source' ? [[each.plus, each] as const] : [])));
  for (const [terminal, sum] of sums) {
    if (terminal === '0') continue;
    if (sources.has(terminal)) {
      const volts = solution.between(terminal, '0') ?? complexZero;
      supplied += multiplyComplex(volts, conjugate(sum)).re;
      continue;
    }
    // What carries nothing holds the rounding of 120 V behind two milliohms.
    const allowed = hookUpTolerances.balanceRelative * (sizes.get(terminal) ?? 0) + 1e-12 * largest + 1e-10;
    if (!(magnitude(sum) <= allowed)) expect.fail(`${terminal} is out of balance by ${magnitude(sum)} A`);
  }
  expect(Math.abs(supplied - taken)).toBeLessThanOrEqual(hookUpTolerances.balanceRelative * Math.abs(supplied) + 1e-9);
  return solution;
}
