import type { Finding, RuleName } from '../../findings.ts';
import {
  breakerForConductorSource,
  largestBreakerA,
  standardBreakerSource,
  standardBreakersA,
} from '../../standards/breaker-sizes.ts';
import { conductorRow, conductorSource } from '../../standards/conductors.ts';
import { cordSource } from '../../standards/cords.ts';
import { groundingSource } from '../../standards/grounding-conductors.ts';
import { citation } from '../../standards/source.ts';
import { continuousSource } from './continuous.ts';
import { countSource, temperatureSource } from './corrections.ts';
import { mayBeParallel } from './judge-conductor.ts';
import { ask, isPositive, say, shown } from './say.ts';
import type { ConductorSize, JudgedConductor, SizingInput } from './sizing.ts';
import { cordProtectionSource, dropSource, parallelSource, smallConductorSource, terminalSource } from './sources.ts';

/** Advice on volts lost, percent: one circuit, and feeder and branch circuit together. */
const advisedPercent = 3;
const advisedTogetherPercent = 5;

/** One conductor with its breaker, held against the load, its terminals, the breaker and the volts. */
export function conductorFindings(
  input: SizingInput,
  conductor: JudgedConductor,
  requiredA: number,
  deviceA: number,
): Finding[] {
  const { usableA, terminalsA, largestDeviceA } = conductor;
  const name = nameOf(conductor, input);
  const findings: Finding[] = [];
  const refuse = (rule: RuleName, actual: number, limit: number, source: string, message: string) =>
    findings.push(say(input, rule, 'refuse', { actual, limit, unit: 'A', source, message }));
  const row = conductorRow(conductor.size, conductor.sizeUnit);
  if (conductor.parallelSets > 1 && row !== null && !mayBeParallel(row)) {
    findings.push(
      say(input, 'sizing.parallelTooSmall', 'refuse', {
        actual: `${conductor.size} ${conductor.sizeUnit}`,
        limit: '1/0 AWG',
        unit: null,
        source: citation(parallelSource),
        message: `${name} may not be used in parallel: only sizes from 1/0 AWG on. Use one larger conductor.`,
      }),
    );
  }
  if (usableA < input.loadA) {
    refuse(
      'sizing.ampacity',
      input.loadA,
      usableA,
      `${citation(ampacitySource(input))}; ${citation(temperatureSource)}; ${citation(countSource)}`,
      `${name} carries ${shown(usableA)} A here, and the load is ${shown(input.loadA)} A. Use a larger size.`,
    );
  }
  if (terminalsA < requiredA) {
    refuse(
      'sizing.terminals',
      requiredA,
      terminalsA,
      `${citation(terminalSource)}; ${citation(continuousSource)}`,
      `At its terminals ${name} counts for ${shown(terminalsA)} A, and the load with its continuous part at 125 % is ${shown(requiredA)} A. Use a larger size.`,
    );
  }
  if (deviceA < requiredA) {
    refuse(
      'sizing.deviceBelowLoad',
      requiredA,
      deviceA,
      citation(continuousSource),
      `The breaker of ${deviceA} A is smaller than the load with its continuous part at 125 % (${shown(requiredA)} A). Use a larger breaker, and a conductor for it.`,
    );
  }
  if (deviceA > largestDeviceA) {
    const ofRaceway = largestDeviceA < largestBreakerA(usableA) ? smallConductorSource : breakerForConductorSource;
    const source = input.wiring === 'cord' ? cordProtectionSource : ofRaceway;
    refuse(
      'sizing.deviceAboveConductor',
      deviceA,
      largestDeviceA,
      `${citation(source)}; ${citation(standardBreakerSource)}`,
      `${name} may have a breaker of ${largestDeviceA} A at most, and has ${deviceA} A. Use a larger size.`,
    );
  } else if (deviceA > usableA) {
    findings.push(
      say(input, 'sizing.roundedUp', 'note', {
        actual: deviceA,
        limit: usableA,
        unit: 'A',
        source: citation(breakerForConductorSource),
        message: `The breaker of ${deviceA} A is the next standard size above the ${shown(usableA)} A of ${name}. That is not allowed for a branch circuit with more than one receptacle.`,
      }),
    );
  }
  return [...findings, ...dropFindings(input, conductor)];
}

function dropFindings(input: SizingInput, conductor: JudgedConductor): Finding[] {
  if (input.lengthM === null || !isPositive(input.lengthM)) return [];
  const { drop } = conductor;
  const { maxDropPercent } = input;
  if (drop === null) {
    const hasTable = conductorRow(conductor.size, conductor.sizeUnit)?.reactanceOhmPerKft != null;
    if (!hasTable) {
      return [
        ask(
          input,
          'sizing.dropNotAssessed',
          'size',
          'Which neighbouring size of the table is to be taken?',
          citation(conductorSource),
          `The table has no impedance for ${nameOf(conductor, input)}: the volts lost are not assessed.`,
        ),
      ];
    }
    return [
      say(input, 'sizing.noVoltsLeft', 'refuse', {
        actual: null,
        limit: null,
        unit: null,
        source: 'computed by phasors',
        message: `${nameOf(conductor, input)} cannot carry ${shown(input.loadA)} A over ${input.lengthM} m at all: the volts are lost on the way. Use a larger size.`,
      }),
    ];
  }
  const actual = drop.exactPercent;
  const lost = `${shown(drop.exactV)} V (${shown(actual)} %)`;
  if (maxDropPercent !== null && actual > maxDropPercent) {
    return [
      say(input, 'sizing.drop', 'refuse', {
        actual,
        limit: maxDropPercent,
        unit: '%',
        source: 'limit of the question',
        message: `${nameOf(conductor, input)} loses ${lost}, more than the ${maxDropPercent} % wanted. Use a larger size.`,
      }),
    ];
  }
  if (actual <= advisedPercent) return [];
  const limit = actual > advisedTogetherPercent ? advisedTogetherPercent : advisedPercent;
  return [
    say(input, 'sizing.dropAdvice', 'caution', {
      actual,
      limit,
      unit: '%',
      source: citation(dropSource),
      message: `${nameOf(conductor, input)} loses ${lost}. Advised are 3 % for one circuit and 5 % for feeder and branch circuit together.`,
    }),
  ];
}

export function noDeviceFinding(input: SizingInput, requiredA: number): Finding {
  const limit = standardBreakersA.at(-1) ?? null;
  return say(input, 'sizing.noDevice', 'refuse', {
    actual: requiredA,
    limit,
    unit: 'A',
    source: citation(standardBreakerSource),
    message: `No standard breaker is as large as ${shown(requiredA)} A. Divide the load over several feeders.`,
  });
}

export function noConductorFinding(input: SizingInput, deviceA: number, isEnoughByAmperes: boolean): Finding {
  const upTo = `${input.mostParallelSets} parallel ${input.mostParallelSets === 1 ? 'set' : 'sets'}`;
  const kept = input.maxDropPercent === null ? 'brings any volts' : `keeps the volts lost at ${input.maxDropPercent} %`;
  const mend = 'more parallel sets, higher volts, or the load divided over several feeders';
  return isEnoughByAmperes
    ? say(input, 'sizing.noConductorForDrop', 'refuse', {
        actual: null,
        limit: input.maxDropPercent,
        unit: '%',
        source: citation(ampacitySource(input)),
        message: `No size in up to ${upTo} ${kept} over ${input.lengthM} m.`,
        mend,
      })
    : say(input, 'sizing.noConductor', 'refuse', {
        actual: deviceA,
        limit: null,
        unit: 'A',
        source: citation(ampacitySource(input)),
        message: `No size in up to ${upTo} carries ${shown(input.loadA)} A and may have a breaker of ${deviceA} A here.`,
        mend,
      });
}

export function unknownSizeFinding(input: SizingInput, given: ConductorSize): Finding {
  return ask(
    input,
    'sizing.unknownSize',
    'given.size',
    'Which size is printed on the conductor, in AWG or kcmil?',
    citation(ampacitySource(input)),
    `The tables have no ampacity for ${given.size} ${given.sizeUnit} ${input.material}: it is not assessed. Maybe the size or its unit is mistyped.`,
  );
}

export function groundingFinding(input: SizingInput, { size, sizeUnit, parallelSets }: ConductorSize, deviceA: number) {
  const each = parallelSets === 1 ? '' : `, one with each of the ${parallelSets} sets`;
  return say(input, 'sizing.grounding', 'note', {
    actual: `${size} ${sizeUnit}`,
    limit: `a breaker of ${deviceA} A`,
    unit: null,
    source: citation(groundingSource),
    message: `Behind a breaker of ${deviceA} A the equipment grounding conductor is ${size} ${sizeUnit} ${input.material} at least${each}, insulated. Compare it with the adopted edition.`,
  });
}

export function neutralFinding(input: SizingInput): Finding {
  return say(input, 'sizing.noNeutral', 'refuse', {
    actual: input.neutralA,
    limit: null,
    unit: 'A',
    source: citation(ampacitySource(input)),
    message: `No size in as many sets as the lines carries ${input.neutralA} A in the neutral. Use more parallel sets.`,
  });
}

function ampacitySource({ wiring }: SizingInput) {
  return wiring === 'cord' ? cordSource : conductorSource;
}

function nameOf({ size, sizeUnit, parallelSets }: ConductorSize, { material, wiring }: SizingInput): string {
  return `${parallelSets === 1 ? '' : `${parallelSets} x `}${size} ${sizeUnit} ${material}${wiring === 'cord' ? ' cord' : ''}`;
}
