import { expect } from 'vitest';
import { addComplex, type Complex, complexZero, magnitude, scaleComplex } from '../../../../core/electrical/complex.ts';
import type { PowerFlowNetwork } from '../../../../core/electrical/power-flow/network.ts';
import { solvePowerFlow } from '../../../../core/electrical/power-flow/power-flow.ts';
import type { PowerFlowSolution } from '../../../../core/electrical/power-flow/results.ts';
import { powerFlowTolerances } from './tolerances.ts';

/** Solves a network that has an answer, and holds the answer against Kirchhoff's and Tellegen's laws. */
export function solveAndCheck(network: PowerFlowNetwork): PowerFlowSolution {
  const result = solvePowerFlow(network);
  if (result.status !== 'solved')
    throw new Error(`${result.status}: ${result.problems.map((p) => p.message).join(' ')}`);
  checkInvariants(network, result);
  return result;
}

export function checkInvariants(network: PowerFlowNetwork, solution: PowerFlowSolution): void {
  checkCurrentBalance(solution);
  checkPowerBalance(network, solution);
}

/** At every terminal but ground the currents sum to zero. */
function checkCurrentBalance(solution: PowerFlowSolution): void {
  const sum = new Map<string, Complex>();
  const size = new Map<string, number>();
  let largest = 0;
  for (const { currents } of solution.elements.values()) {
    for (const { from, to, currentA } of currents) {
      sum.set(from, addComplex(sum.get(from) ?? complexZero, currentA));
      sum.set(to, addComplex(sum.get(to) ?? complexZero, scaleComplex(currentA, -1)));
      for (const terminal of [from, to]) size.set(terminal, (size.get(terminal) ?? 0) + magnitude(currentA));
      largest = Math.max(largest, magnitude(currentA));
    }
  }
  for (const [terminal, left] of sum) {
    // A terminal that carries nothing holds rounding alone: there the largest current of the network is the measure.
    const allowed = powerFlowTolerances.currentBalanceRelative * (size.get(terminal) ?? 0) + 1e-13 * largest + 1e-12;
    if (terminal !== '0' && !(magnitude(left) <= allowed)) {
      expect.fail(`terminal ${terminal} is out of balance by ${magnitude(left)} A, allowed ${allowed} A`);
    }
  }
}

/** What sources supply is what loads take and conductors lose; losses come from resistances, not from the difference. */
function checkPowerBalance(network: PowerFlowNetwork, solution: PowerFlowSolution): void {
  let supplied = 0;
  let throughput = 0;
  let consumed = 0;
  let lost = 0;
  for (const element of network.elements) {
    const flow = solution.elements.get(element.id);
    if (flow === undefined) throw new Error(`no result for ${element.id}`);
    if (element.kind === 'source') supplied -= flow.power.powerW;
    else if (element.kind === 'load' || element.kind === 'admittance') consumed += flow.power.powerW;
    lost += flow.lossW;
    throughput += Math.hypot(flow.power.powerW, flow.power.reactivePowerVar);
  }
  // Where nothing flows, volts times the rounding of amperes is left.
  let highestV = 0;
  for (const { voltageV } of solution.terminals.values()) highestV = Math.max(highestV, magnitude(voltageV));
  const allowed = powerFlowTolerances.powerBalanceRelative * throughput + 1e-12 * highestV;
  const { totals } = solution;
  expect(Math.abs(supplied - consumed - lost)).toBeLessThanOrEqual(allowed);
  expect(Math.abs(totals.supplied.powerW - supplied)).toBeLessThanOrEqual(allowed);
  expect(Math.abs(totals.lost.powerW - lost)).toBeLessThanOrEqual(allowed);
  for (const key of ['powerW', 'reactivePowerVar'] as const) {
    const left = totals.supplied[key] - totals.consumed[key] - totals.lost[key];
    expect(Math.abs(left)).toBeLessThanOrEqual(allowed);
  }
}
