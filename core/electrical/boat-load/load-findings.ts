import type { Finding, MissingFact, RuleName, Subject } from '../../findings.ts';
import { citation } from '../../standards/source.ts';
import { type BoatLoadInput, type InletLoad, type LoadAppliance, legsOf, placeOn } from './boat-load.ts';
import { rangeDemandVa } from './form.ts';

const asStated = 'the boat as stated';

/** A finite number that is not negative. */
export function isQuantity(value: number | null): value is number {
  return value !== null && Number.isFinite(value) && value >= 0;
}

function confirm(rule: RuleName, source: string, missingFact: MissingFact, message: string): Finding {
  return {
    rule,
    level: 'confirm',
    subject: missingFact.subject,
    actual: null,
    limit: null,
    unit: null,
    source,
    message,
    missingFact,
  };
}

/** What is wrong with the question as a whole. */
export function inputFindings(input: BoatLoadInput): Finding[] {
  const { boat, method, inlets, appliances, general, assumed } = input;
  const findings: Finding[] = [];
  if (method.source.fromMemory) {
    findings.push({
      rule: 'load.methodFromMemory',
      level: 'caution',
      subject: { kind: 'practice', id: method.id, label: method.name },
      actual: null,
      limit: null,
      unit: null,
      source: citation(method.source),
      message: `The form "${method.name}" is from memory and unverified. Compare it with the standard before relying on its figures.`,
    });
  }
  const sound = inlets.filter(
    ({ lineToNeutralV, lineToLineV }) =>
      lineToNeutralV > 0 && Number.isFinite(lineToNeutralV) && (lineToLineV === null || lineToLineV > 0),
  );
  if (sound.length === 0 || sound.length < inlets.length) {
    const question = 'Which inlets does the boat have, and for which volts?';
    const message =
      sound.length === 0
        ? 'No inlet with volts above 0 is given, so no amperes can be told.'
        : 'An inlet without volts above 0 is left out.';
    findings.push(confirm('load.inletUnknown', asStated, { subject: boat, fact: 'inlets', question }, message));
  }
  if (assumed) {
    const question = 'What runs aboard on shore power, and what does its nameplate say?';
    findings.push(
      confirm(
        'load.classDefault',
        'assumption by length class',
        { subject: boat, fact: 'appliances', question },
        `The appliances of ${boat.label} are assumed from its length and are not known. Ask what runs aboard.`,
      ),
    );
  } else if (general === null && appliances.length === 0) {
    const question = 'What runs aboard on shore power?';
    findings.push(
      confirm(
        'load.nothingCounted',
        asStated,
        { subject: boat, fact: 'appliances', question },
        `Nothing aboard ${boat.label} is given, which is unknown and not a load of 0. Enter its appliances.`,
      ),
    );
  }
  return findings;
}

/** Facts of the lighting and the circuits that are missing, or beyond the form. */
export function generalFindings({ boat, method, general, inlets }: BoatLoadInput): Finding[] {
  if (general === null) return [];
  const source = citation(method.source);
  const findings: Finding[] = [];
  const ask = (fact: string, question: string, message: string) =>
    findings.push(confirm('load.generalUnknown', source, { subject: boat, fact, question }, message));
  if (!isQuantity(general.livingAreaM2)) {
    ask(
      'general.livingAreaM2',
      'How long and wide is the living space, in metres?',
      'The living area is unknown, so no lighting is counted.',
    );
  }
  if (!isQuantity(general.applianceCircuits)) {
    ask(
      'general.applianceCircuits',
      'How many appliance circuits has the galley?',
      'The galley circuits are unknown and not counted.',
    );
  }
  if (!isQuantity(general.laundryVa)) {
    ask(
      'general.laundryVa',
      'What does the laundry circuit draw, in VA (0 for none)?',
      'The laundry load is unknown and not counted.',
    );
  }
  if (!isQuantity(general.rangeW)) {
    ask(
      'general.rangeW',
      'How many watts are on the nameplate of the range (0 for none)?',
      'The range is unknown and not counted.',
    );
  } else if (rangeDemandVa(method, general.rangeW) === null) {
    const limit = method.ranges.rows.at(-1)?.toW ?? 0;
    findings.push({
      rule: 'load.rangeBeyondForm',
      level: 'caution',
      subject: boat,
      actual: general.rangeW,
      limit,
      unit: 'W',
      source: citation(method.ranges.source),
      message: `A range of ${general.rangeW} W is larger than the form knows (${limit} W) and counts in full.`,
    });
  }
  if (general.inletId !== null && !inlets.some(({ id }) => id === general.inletId)) {
    ask(
      'general.inletId',
      'Which inlet feeds lighting and galley?',
      `There is no inlet "${general.inletId}", so lighting and galley are on no leg.`,
    );
  } else if (general.inletId === null && inlets.length > 1) {
    ask(
      'general.inletId',
      'Which inlet feeds lighting and galley?',
      'Which inlet feeds lighting and galley is unknown, so they count on every one.',
    );
  }
  return findings;
}

/** Facts of appliances that are missing: one finding for each appliance and fact. */
export function applianceFindings(input: BoatLoadInput): Finding[] {
  // One question is enough where all of them are assumed.
  if (input.assumed) return [];
  return input.appliances.flatMap((appliance, place) => findingsOf(appliance, place, input));
}

function findingsOf(appliance: LoadAppliance, place: number, { boat, inlets }: BoatLoadInput): Finding[] {
  const { name, loadVa, inletId, legs } = appliance;
  const findings: Finding[] = [];
  const ask = (rule: RuleName, fact: string, question: string, message: string) =>
    findings.push(confirm(rule, asStated, { subject: boat, fact: `appliances.${place}.${fact}`, question }, message));
  if (!isQuantity(loadVa)) {
    ask(
      'load.applianceUnknown',
      'loadVa',
      `What does the nameplate of the ${name} say, in VA or W?`,
      `The load of "${name}" is unknown and not counted: the boat draws more than is shown.`,
    );
  }
  const inlet = inlets.find(({ id }) => id === inletId);
  if (inletId !== null && inlet === undefined) {
    ask(
      'load.applianceInlet',
      'inletId',
      `Which inlet feeds the ${name}?`,
      `There is no inlet "${inletId}", so "${name}" is on no leg.`,
    );
  } else if (inletId === null && inlets.length > 1) {
    ask(
      'load.applianceInlet',
      'inletId',
      `Which inlet feeds the ${name}?`,
      `Which inlet feeds "${name}" is unknown, so it counts on every one.`,
    );
  }
  const possible = inletId === null ? inlets : inlet === undefined ? [] : [inlet];
  if (legs === null && possible.some(({ lineToLineV }) => lineToLineV !== null)) {
    ask(
      'load.applianceLeg',
      'legs',
      `Is the ${name} on one leg, and on which, or on both?`,
      `The leg of "${name}" is unknown, so it counts in full on each.`,
    );
  }
  const lacking = possible.find((each) => legs !== null && placeOn(appliance, each) === null);
  if (lacking !== undefined && possible.every((each) => placeOn(appliance, each) === null)) {
    const has = legsOf(lacking);
    ask(
      'load.applianceLeg',
      'legs',
      `Is the ${name} on one leg, and on which, or on both?`,
      `"${name}" is said to be on ${legs}, but its inlet has ${has.length === 1 ? 'one leg only' : `${has.join(' and ')} only`}. It counts there in full on each leg, at line-to-neutral volts.`,
    );
  }
  return findings;
}

/** The legs of one inlet against the boat's main breaker. */
export function inletFindings(input: BoatLoadInput, load: InletLoad): Finding[] {
  const subject: Subject = { kind: 'inlet', id: load.inletId, label: load.inletId };
  const { mainBreakerA } = load;
  if (!isQuantity(mainBreakerA) || mainBreakerA === 0) {
    const missingFact = {
      subject,
      fact: 'mainBreakerA',
      question: `How many amperes are on the main breaker behind inlet ${load.inletId}?`,
    };
    return [
      confirm(
        'load.breakerUnknown',
        asStated,
        missingFact,
        `The main breaker behind inlet ${load.inletId} is unknown, so its load is not assessed.`,
      ),
    ];
  }
  return load.legs.flatMap(({ leg, demandA, runningA, sizingA }): Finding[] => {
    const at = `leg ${leg} of inlet ${load.inletId}`;
    const over = (rule: RuleName, actual: number, source: string, message: string): Finding[] => [
      { rule, level: 'caution', subject, actual, limit: mainBreakerA, unit: 'A', source, message },
    ];
    const form = citation(input.method.source);
    if (isAbove(demandA, mainBreakerA)) {
      return over(
        'load.demandAboveBreaker',
        demandA,
        form,
        `By the form, ${at} draws ${shown(demandA)} A, and its breaker trips above ${mainBreakerA} A. Leave appliances off, or use a larger service.`,
      );
    }
    if (isAbove(runningA, mainBreakerA)) {
      return over(
        'load.notAllAtOnce',
        runningA,
        asStated,
        `With everything on, ${at} draws ${shown(runningA)} A, and its breaker trips above ${mainBreakerA} A. Not all of it can run at once.`,
      );
    }
    if (isAbove(sizingA, mainBreakerA)) {
      return over(
        'load.continuousAboveBreaker',
        sizingA,
        form,
        `With continuous loads at 125 %, ${at} wants a breaker for ${shown(sizingA)} A, and has ${mainBreakerA} A.`,
      );
    }
    return [];
  });
}

const isAbove = (value: number, limit: number): boolean => value > limit * (1 + 1e-9);

const shown = (amperes: number): number => Math.round(amperes * 10) / 10;
