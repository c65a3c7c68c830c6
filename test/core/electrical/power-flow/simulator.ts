import { spawnSync } from 'node:child_process';
import { expect } from 'vitest';
import { type Complex, complex, magnitude, subtractComplex } from '../../../../core/electrical/complex.ts';
import type { PowerFlowNetwork } from '../../../../core/electrical/power-flow/network.ts';
import { currentOf, voltageBetween } from '../../../../core/electrical/power-flow/results.ts';
import { solveAndCheck } from './invariants.ts';
import { writeSpiceDeck } from './spice-deck.ts';
import { powerFlowTolerances } from './tolerances.ts';

// ngspice (https://ngspice.sourceforge.io, Debian package `ngspice`) solves the same networks from the same description.
export const isSimulatorInstalled = spawnSync('ngspice', ['--version']).error === undefined;
if (!isSimulatorInstalled)
  console.log('Circuit-simulator comparison skipped: ngspice is not installed (Debian package ngspice).');

/** A linear network with the simulator's own volts and amperes, under its own names. */
function simulate(network: PowerFlowNetwork, frequencyHz: number) {
  const deck = writeSpiceDeck(network, frequencyHz);
  const run = spawnSync('ngspice', ['-b'], { input: deck.text, encoding: 'utf8' });
  const answers = new Map<string, Complex>();
  for (const [, name, re, im] of run.stdout.matchAll(/^([vi]\(\w+\)) = ([-+.\de]+),([-+.\de]+)/gim)) {
    answers.set(name ?? '', complex(Number(re), Number(im)));
  }
  return { deck, answers };
}

/** Holds volts to ground and amperes, however solved, against the simulator's. */
export function expectAsSimulated(
  network: PowerFlowNetwork,
  frequencyHz: number,
  voltsOf: (terminal: string) => Complex | null,
  amperesOf: (elementId: string, part?: string) => Complex | null,
): void {
  const { deck, answers } = simulate(network, frequencyHz);
  const all = [...answers];
  const largest = (kind: string) =>
    Math.max(...all.map(([name, value]) => (name.startsWith(kind) ? magnitude(value) : 0)));
  const [highestV, highestA] = [largest('v('), largest('i(')];
  for (const [terminal, name] of deck.voltageNames)
    compare(`volts of ${terminal}`, voltsOf(terminal), answers.get(`v(${name})`), highestV);
  for (const [{ elementId, part }, name] of deck.currentNames)
    compare(`amperes of ${elementId} ${part ?? ''}`, amperesOf(elementId, part), answers.get(`i(${name})`), highestA);
}

/** Solves a linear network by core and by the simulator, and holds every volt and ampere of one against the other. */
export function expectSimulated(network: PowerFlowNetwork, frequencyHz: number): void {
  const solution = solveAndCheck(network);
  expectAsSimulated(
    network,
    frequencyHz,
    (terminal) => voltageBetween(solution, terminal, '0'),
    (elementId, part) => currentOf(solution, elementId, part),
  );
}

/** Within 0.01 % of the value; a value near zero in a large network within a billionth of the largest. */
function compare(what: string, own: Complex | null, theirs: Complex | undefined, largest: number): void {
  if (own === null || theirs === undefined) throw new Error(`${what}: no answer`);
  const allowed = powerFlowTolerances.circuitSimulatorRelative * magnitude(theirs) + 1e-9 * largest;
  const off = magnitude(subtractComplex(own, theirs));
  if (!(off <= allowed)) expect.fail(`${what}: ${JSON.stringify(own)} against ${JSON.stringify(theirs)}`);
}
