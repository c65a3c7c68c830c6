import type { Finding } from '../../findings.ts';
import { citation } from '../../standards/source.ts';
import { countSource, temperatureFactor, temperatureSource } from './corrections.ts';
import { ask, isPositive } from './say.ts';
import type { SizingInput } from './sizing.ts';
import { dropSource, terminalSource } from './sources.ts';

const asStated = 'the circuit as stated';

/** What leaves nothing to compute: no load, no volts, a power factor that is none. */
export function inputFindings(input: SizingInput): Finding[] {
  const {
    loadA,
    continuousA,
    neutralA,
    voltageV,
    powerFactor,
    conductorC,
    ambientC,
    insulationC,
    currentCarrying,
    given,
  } = input;
  const findings: Finding[] = [];
  const bad = (fact: string, question: string, message: string) =>
    findings.push(ask(input, 'sizing.inputMissing', fact, question, asStated, message));
  if (!isPositive(loadA)) {
    bad(
      'loadA',
      'How many amperes does each line carry?',
      `A load of ${loadA} A is nothing to size for. Give the demand in amperes, above 0.`,
    );
  } else if (!(continuousA >= 0 && continuousA <= loadA)) {
    bad(
      'continuousA',
      'How many of these amperes run for three hours or more?',
      `A continuous part of ${continuousA} A does not lie between 0 and the load of ${loadA} A.`,
    );
  }
  if (neutralA !== null && !(neutralA >= 0 && Number.isFinite(neutralA))) {
    bad(
      'neutralA',
      'How many amperes can the neutral carry at most?',
      `A neutral load of ${neutralA} A is none. Give 0 or more, or leave it unknown.`,
    );
  }
  if (!isPositive(voltageV))
    bad('voltageV', 'Which volts?', `${voltageV} V is no supply. Give its nominal volts, above 0.`);
  if (!(powerFactor > 0 && powerFactor <= 1)) {
    bad(
      'powerFactor',
      'Which power factor has the load?',
      `A power factor of ${powerFactor} does not lie above 0 and up to 1.`,
    );
  }
  if (!(conductorC >= -50 && conductorC <= 250)) {
    bad(
      'conductorC',
      'How warm is the loaded conductor?',
      `${conductorC} C is no temperature of a conductor. Give 75 where it is unknown.`,
    );
  }
  if (ambientC !== null && temperatureFactor(ambientC, insulationC) === null) {
    bad(
      'ambientC',
      'How warm does it get around the conductor?',
      `The table has no factor for insulation of ${insulationC} C at an ambient of ${ambientC} C. Choose other insulation, or correct the ambient.`,
    );
  }
  if (currentCarrying !== null && !(currentCarrying >= 1 && Number.isFinite(currentCarrying))) {
    bad(
      'currentCarrying',
      'How many current-carrying conductors are in one raceway?',
      `${currentCarrying} current-carrying conductors are none. Give 1 or more.`,
    );
  }
  if (given !== null && !(Number.isInteger(given.parallelSets) && given.parallelSets >= 1)) {
    bad(
      'given.parallelSets',
      'How many conductors are in parallel?',
      `${given.parallelSets} parallel sets are none. Give 1 or more.`,
    );
  }
  if (given !== null && given.deviceA !== null && !isPositive(given.deviceA)) {
    bad(
      'given.deviceA',
      'How many amperes are on the handle of its breaker?',
      `A breaker of ${given.deviceA} A is none. Give its rating, or leave it unknown.`,
    );
  }
  return findings;
}

/** Facts that are unknown and were counted as the finding says. */
export function assumptionFindings(input: SizingInput): Finding[] {
  const findings: Finding[] = [];
  if (input.lengthM === null || !isPositive(input.lengthM)) {
    findings.push(
      ask(
        input,
        'sizing.lengthUnknown',
        'lengthM',
        'How long is the circuit one way, in metres?',
        citation(dropSource),
        `A length of ${input.lengthM ?? 'unknown'} m gives no volts lost: they are not assessed, and the conductor is chosen by amperes alone.`,
      ),
    );
  }
  if (input.terminalsC === null) {
    findings.push(
      ask(
        input,
        'sizing.terminalsUnknown',
        'terminalsC',
        'Which temperature is marked on the terminals at both ends, 60 or 75 C?',
        citation(terminalSource),
        'The rating of the terminals is unknown and counts as 60 C. Above 100 A they are usually marked 75 C.',
      ),
    );
  }
  if (input.ambientC === null) {
    findings.push(
      ask(
        input,
        'sizing.ambientUnknown',
        'ambientC',
        'How warm does it get around the conductor, in C?',
        citation(temperatureSource),
        'The ambient is unknown and counts as 30 C. Sun on a dock can make it much warmer.',
      ),
    );
  }
  if (input.currentCarrying === null) {
    findings.push(
      ask(
        input,
        'sizing.countUnknown',
        'currentCarrying',
        'How many current-carrying conductors are in one raceway or cable?',
        citation(countSource),
        'The number of current-carrying conductors together is unknown and counts as three. Two lines and the neutral of a 208Y/120 supply are three.',
      ),
    );
  }
  return findings;
}
