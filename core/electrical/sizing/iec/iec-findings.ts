import type { Finding, FindingLevel, RuleName } from '../../../findings.ts';
import {
  iecAmpacitySource,
  iecConductorRows,
  iecDeviceSource,
  iecDropSource,
  iecGroupingFactor,
  iecGroupingSource,
  iecProtectiveMm2,
  iecProtectiveSource,
  iecResistanceSource,
  iecTemperatureFactor,
  iecTemperatureSource,
} from '../../../standards/iec-conductors.ts';
import { citation, type Source } from '../../../standards/source.ts';
import { isPositive, shown } from '../say.ts';
import type { IecConductor, IecSizingInput } from './iec-sizing.ts';

const advisedPercent = 3;
const advisedOtherPercent = 5;
const asStated: Source = { title: 'the circuit as stated', fromMemory: false };

type Measured = Pick<Finding, 'actual' | 'limit' | 'unit'>;

function say(
  { subject }: IecSizingInput,
  rule: RuleName,
  level: FindingLevel,
  measured: Measured,
  source: Source,
  message: string,
): Finding {
  return { rule, level, subject, ...measured, source: citation(source), message };
}

const unmeasured: Measured = { actual: null, limit: null, unit: null };

function ask(
  input: IecSizingInput,
  rule: RuleName,
  fact: string,
  question: string,
  source: Source,
  message: string,
): Finding {
  return {
    ...say(input, rule, 'confirm', unmeasured, source, message),
    missingFact: { subject: input.subject, fact, question },
  };
}

/** What leaves nothing to compute. */
export function inputFindings(input: IecSizingInput): Finding[] {
  const { loadA, voltageV, powerFactor, ambientC, circuits, given } = input;
  const findings: Finding[] = [];
  const bad = (fact: string, question: string, message: string) =>
    findings.push(ask(input, 'sizing.inputMissing', fact, question, asStated, message));
  if (!isPositive(loadA))
    bad('loadA', 'How many amperes does each line carry?', `A load of ${loadA} A is nothing to size for.`);
  if (!isPositive(voltageV)) bad('voltageV', 'Which volts?', `${voltageV} V is no supply.`);
  if (!(powerFactor > 0 && powerFactor <= 1))
    bad('powerFactor', 'Which power factor has the load?', `A power factor of ${powerFactor} is none.`);
  if (ambientC !== null && iecTemperatureFactor(ambientC) === null)
    bad('ambientC', 'How warm does it get around the conductor?', `PVC has no factor at an ambient of ${ambientC} C.`);
  if (circuits !== null && !(circuits >= 1 && iecGroupingFactor(circuits) !== null))
    bad('circuits', 'How many circuits lie together?', `The table has no factor for ${circuits} circuits together.`);
  if (given !== null && given.deviceA !== null && !isPositive(given.deviceA))
    bad('given.deviceA', 'How many amperes are on its device?', `A device of ${given.deviceA} A is none.`);
  return findings;
}

/** Facts that are unknown and were counted as the finding says. */
export function unknownFacts(input: IecSizingInput): Finding[] {
  const findings: Finding[] = [];
  if (input.lengthM === null || !isPositive(input.lengthM))
    findings.push(
      ask(
        input,
        'sizing.lengthUnknown',
        'lengthM',
        'How long is the circuit one way, in metres?',
        iecDropSource,
        'Without a length the volts lost are not assessed, and the conductor is chosen by amperes alone.',
      ),
    );
  if (input.ambientC === null)
    findings.push(
      ask(
        input,
        'sizing.ambientUnknown',
        'ambientC',
        'How warm does it get around the conductor, in C?',
        iecTemperatureSource,
        'The ambient is unknown and counts as 30 C. Sun on a dock can make it much warmer.',
      ),
    );
  if (input.circuits === null)
    findings.push(
      ask(
        input,
        'sizing.countUnknown',
        'circuits',
        'How many circuits lie together in one conduit or bundle?',
        iecGroupingSource,
        'How many circuits lie together is unknown and counts as one.',
      ),
    );
  return findings;
}

/** One conductor with its device, held against the load, the device and the volts. */
export function conductorFindings(input: IecSizingInput, conductor: IecConductor, deviceA: number): Finding[] {
  const { areaMm2, correctedA, dropPercent, dropV } = conductor;
  const { loadA, lengthM, maxDropPercent } = input;
  const name = `${areaMm2} mm2 copper`;
  const amperes = (actual: number, limit: number): Measured => ({ actual, limit, unit: 'A' });
  const findings: Finding[] = [];
  if (deviceA < loadA)
    findings.push(
      say(
        input,
        'sizing.deviceBelowLoad',
        'refuse',
        amperes(loadA, deviceA),
        iecDeviceSource,
        `The device of ${deviceA} A is smaller than the load of ${shown(loadA)} A. Use a larger device, and a conductor for it.`,
      ),
    );
  if (deviceA > correctedA)
    findings.push(
      say(
        input,
        'sizing.deviceAboveConductor',
        'refuse',
        amperes(deviceA, correctedA),
        iecDeviceSource,
        `${name} carries ${shown(correctedA)} A here and may have no larger device; it has ${deviceA} A. Use a larger cross-section.`,
      ),
    );
  if (lengthM !== null && isPositive(lengthM)) {
    if (dropPercent === null || dropV === null)
      findings.push(
        say(
          input,
          'sizing.noVoltsLeft',
          'refuse',
          unmeasured,
          iecResistanceSource,
          `${name} cannot carry ${shown(loadA)} A over ${lengthM} m at all. Use a larger cross-section.`,
        ),
      );
    else findings.push(...dropFindings(input, name, dropV, dropPercent, maxDropPercent));
  }
  findings.push(
    say(
      input,
      'sizing.grounding',
      'note',
      { actual: `${iecProtectiveMm2(areaMm2)} mm2`, limit: `${areaMm2} mm2 lines`, unit: null },
      iecProtectiveSource,
      `Beside ${name} the protective conductor is ${iecProtectiveMm2(areaMm2)} mm2 at least. Tables of this answer are from memory: compare them with the adopted edition (${citation(iecAmpacitySource)}).`,
    ),
  );
  return findings;
}

function dropFindings(
  input: IecSizingInput,
  name: string,
  dropV: number,
  dropPercent: number,
  maxDropPercent: number | null,
): Finding[] {
  const lost = `${name} loses ${shown(dropV)} V (${shown(dropPercent)} %)`;
  const percent = (limit: number): Measured => ({ actual: dropPercent, limit, unit: '%' });
  if (maxDropPercent !== null && dropPercent > maxDropPercent)
    return [
      say(
        input,
        'sizing.drop',
        'refuse',
        percent(maxDropPercent),
        { title: 'limit of the question', fromMemory: false },
        `${lost}, more than the ${maxDropPercent} % wanted. Use a larger cross-section.`,
      ),
    ];
  if (dropPercent <= advisedPercent) return [];
  const limit = dropPercent > advisedOtherPercent ? advisedOtherPercent : advisedPercent;
  return [
    say(
      input,
      'sizing.dropAdvice',
      'caution',
      percent(limit),
      iecDropSource,
      `${lost}. Advised are 3 % for lighting and 5 % for other uses, from the supply on.`,
    ),
  ];
}

export function noConductor(input: IecSizingInput, deviceA: number | null): Finding {
  const largest = iecConductorRows.at(-1)?.areaMm2;
  return {
    ...say(
      input,
      deviceA === null ? 'sizing.noDevice' : 'sizing.noConductor',
      'refuse',
      { actual: deviceA ?? input.loadA, limit: null, unit: 'A' },
      deviceA === null ? iecDeviceSource : iecAmpacitySource,
      deviceA === null
        ? `No standard device is as large as ${shown(input.loadA)} A. Divide the load over several circuits.`
        : `No cross-section up to ${largest} mm2 may have a device of ${deviceA} A here and keeps the volts wanted.`,
    ),
    mend: 'the load divided over several circuits, or higher volts',
  };
}

export function unknownSize(input: IecSizingInput, { areaMm2 }: { readonly areaMm2: number }): Finding {
  return ask(
    input,
    'sizing.unknownSize',
    'given.areaMm2',
    'Which cross-section is printed on the conductor, in mm2?',
    iecAmpacitySource,
    `The tables have no cross-section of ${areaMm2} mm2: it is not assessed.`,
  );
}
