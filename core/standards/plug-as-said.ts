import type { Configuration } from './configuration.ts';
import { configurations } from './configurations.ts';

/** One inlet that a caller spoke of. Several configurations: what was said fits all of them and must be confirmed. */
export interface SaidInlet {
  readonly configurationIds: readonly string[];
}

interface Group {
  count: number | null;
  plural: boolean;
  amperes: number | null;
  designation: string | null;
  tests: ((pattern: Configuration) => boolean)[];
}

const hasSecondLine = (pattern: Configuration) => pattern.terminals.includes('L2');
const hasThirdLine = (pattern: Configuration) => pattern.terminals.includes('L3');

const counts: Readonly<Record<string, number>> = {
  a: 1,
  an: 1,
  one: 1,
  single: 1,
  pair: 2,
  two: 2,
  twin: 2,
  dual: 2,
  both: 2,
  double: 2,
  three: 3,
  four: 4,
};
const numberWords: readonly (readonly [RegExp, string])[] = [
  [/\b(?:one|a) hundred\b/g, '100'],
  [/\btwo hundred\b/g, '200'],
  [/\bthirty[ -]two\b/g, '32'],
  [/\bsixty[ -]three\b/g, '63'],
  [/\bfifteen\b/g, '15'],
  [/\bsixteen\b/g, '16'],
  [/\btwenty\b/g, '20'],
  [/\bthirty\b/g, '30'],
  [/\bfifty\b/g, '50'],
  [/\bsixty\b/g, '60'],
  [/\bthirties\b/g, '30s'],
  [/\bfifties\b/g, '50s'],
];
const phrases: readonly (readonly [RegExp, string])[] = [
  [/\b(?:three|3)[ -]?(?:phase|ph)\b/g, 'threephase'],
  [/\b(?:single|one|1)[ -]?(?:phase|ph)\b/g, 'singlephase'],
  [/\bpin[ -]and[ -]sleeve\b/g, 'pinandsleeve'],
  [/\btwist[ -]?lock(?:ing)?\b/g, 'locking'],
  [/\bshore ?power\b/g, 'plug'],
  [/\bpair of\b/g, 'two'],
];
const fillers = new Set('plug plugs inlet inlets cord cords service shore power amp amps ampere amperes of'.split(' '));
const shorePowerA = new Set([15, 16, 20, 30, 32, 50, 60, 63, 100, 125, 200]);

/** Patterns meant where a caller names amperes alone. */
const usualIds: Readonly<Record<number, readonly string[]>> = {
  30: ['L5-30'],
  50: ['SS1-50', 'SS2-50'],
  60: ['PS-60-125/250-3P4W', 'PS-60-120/208-4P5W'],
  100: ['PS-100-125/250-3P4W', 'PS-100-120/208-4P5W'],
  200: ['PS-200-125/250-3P4W', 'PS-200-120/208-4P5W'],
};

/**
 * Reads what a caller says of the boat's plug: "50 A", "two thirties", "50A 240", "32 A blue", "no power".
 * Answers one entry for each inlet, an empty list for a boat that wants no power, and null where any word is not
 * understood: a guess would be read as a fact.
 */
export function readPlugAsSaid(text: string): readonly SaidInlet[] | null {
  const words = wordsOf(text);
  if (words.length === 0) return null;
  if (/^(?:no|none|nothing|without)(?: (?:plug|power|shore|cord|inlet))*$/.test(words.join(' '))) return [];

  const groups: Group[] = [emptyGroup()];
  let separated = false;
  for (const word of words) {
    if (word === 'and') {
      separated = true;
      continue;
    }
    let group = groups[groups.length - 1] ?? emptyGroup();
    if (startsInlet(word, group)) {
      if (!separated) return null;
      group = emptyGroup();
      groups.push(group);
    }
    if (!take(word, group)) return null;
    separated = false;
  }

  const inlets: SaidInlet[] = [];
  for (const group of groups) {
    const configurationIds = candidates(group);
    if (configurationIds === null || (group.plural && group.count === null)) return null;
    for (let i = 0; i < (group.count ?? 1); i++) inlets.push({ configurationIds });
  }
  return inlets;
}

function emptyGroup(): Group {
  return { count: null, plural: false, amperes: null, designation: null, tests: [] };
}

function wordsOf(text: string): string[] {
  // Nobody says more than this about a plug; a longer text is not an answer.
  if (text.length > 200) return [];
  let said = text.toLowerCase().replaceAll(/[;,&+]|\bplus\b/g, ' and ');
  for (const [pattern, replacement] of phrases) said = said.replaceAll(pattern, replacement);
  for (const [pattern, replacement] of numberWords) said = said.replaceAll(pattern, replacement);
  return said
    .replaceAll(/\b(\d+)\s*(?:x|×)\s*(?=\d)/g, 'count$1 ')
    .replaceAll(/(\d)\s*-?\s*(?:a|amps?|amperes?)\b/g, '$1a')
    .replaceAll(/(\d)\s*-?\s*(?:v|volts?)\b/g, '$1v')
    .split(/[\s.]+/)
    .filter((word) => word !== '');
}

const isSettled = (group: Group) => group.amperes !== null || group.designation !== null;

/** Whether the word begins another inlet after a settled one: a count, further amperes or a designation. */
function startsInlet(word: string, group: Group): boolean {
  if (!isSettled(group)) return false;
  if (countOf(word, group) !== null || designationOf(word) !== null) return true;
  const amperes = amperesOf(word);
  return amperes !== null && !(amperes === 125 && !word.endsWith('a'));
}

function take(word: string, group: Group): boolean {
  if (fillers.has(word)) return true;
  const count = countOf(word, group);
  if (count !== null && !isSettled(group)) {
    if (group.count !== null) return false;
    group.count = count;
    return true;
  }
  const designation = designationOf(word);
  if (designation !== null) {
    group.designation = designation;
    return true;
  }
  const amperes = amperesOf(word);
  if (amperes !== null && !isSettled(group) && word !== '125') {
    group.amperes = amperes;
    group.plural = word.endsWith('s');
    return true;
  }
  const test = qualifierOf(word);
  if (test === null) return false;
  group.tests.push(test);
  return true;
}

function countOf(word: string, group: Group): number | null {
  const counted = /^count([1-4])$/.exec(word)?.[1];
  if (counted !== undefined) return Number(counted);
  // A bare small number can only count, and only before the amperes ("2 30s").
  if (/^[1-4]$/.test(word)) return isSettled(group) ? null : Number(word);
  return Object.hasOwn(counts, word) ? (counts[word] ?? null) : null;
}

function designationOf(word: string): string | null {
  return configurations.find((pattern) => pattern.id.toLowerCase() === word)?.id ?? null;
}

function amperesOf(word: string): number | null {
  const digits = /^(\d+)(?:a|s|as|a's|'s)?$/.exec(word)?.[1];
  if (digits === undefined) return null;
  const amperes = Number(digits);
  return shorePowerA.has(amperes) ? amperes : null;
}

/** What a word says of the pattern beyond its amperes; null for a word not understood. */
function qualifierOf(word: string): Group['tests'][number] | null {
  switch (word) {
    case 'threephase':
      return hasThirdLine;
    case 'singlephase':
      return (pattern) => !hasThirdLine(pattern);
    case 'blue':
      return (pattern) => pattern.family === 'IEC 60309' && pattern.labelV === '230';
    case 'red':
      return (pattern) => pattern.family === 'IEC 60309' && pattern.labelV === '400';
    case 'iec':
    case 'cee':
      return (pattern) => pattern.family === 'IEC 60309';
    case 'nema':
      return (pattern) => pattern.family === 'NEMA WD 6';
    case 'pinandsleeve':
      return (pattern) => pattern.family === 'pin-and-sleeve';
    case 'locking':
      return (pattern) => /^(?:L|SS)/.test(pattern.id);
    case '125/250v':
    case '125/250':
    case '120/240v':
    case '120/240':
      return (pattern) => pattern.labelV === '125/250';
    case '120/208v':
    case '120/208':
    case '208y/120':
    case '208y/120v':
      return (pattern) => pattern.labelV === '120/208';
  }
  const digits = /^(\d+)v?$/.exec(word)?.[1];
  return digits === undefined ? null : voltsTest(Number(digits));
}

function voltsTest(volts: number): Group['tests'][number] | null {
  if (volts >= 110 && volts <= 125) return (pattern) => pattern.lineToNeutralV === 120 && !hasSecondLine(pattern);
  if (volts === 208) return (pattern) => pattern.lineToLineV === 208 || pattern.lineToLineV === 240;
  if (volts >= 220 && volts <= 250)
    return (pattern) => pattern.lineToLineV === 240 || (pattern.lineToNeutralV === 230 && !hasSecondLine(pattern));
  if (volts >= 380 && volts <= 415) return (pattern) => pattern.lineToLineV === 400;
  if (volts === 480) return (pattern) => pattern.lineToLineV === 480;
  return null;
}

function candidates(group: Group): readonly string[] | null {
  const { amperes, designation, tests } = group;
  if (designation !== null) {
    const pattern = configurations.find((each) => each.id === designation);
    return pattern !== undefined && tests.every((test) => test(pattern)) ? [designation] : null;
  }
  if (amperes === null) return null;
  const usual = tests.length === 0 ? usualIds[amperes] : undefined;
  if (usual !== undefined) return usual;
  // Boats carry the locking 50 A pattern; the straight blade one is meant only where it is named.
  const fitting = configurations.filter(
    (pattern) => pattern.ratedA === amperes && pattern.id !== '14-50' && tests.every((test) => test(pattern)),
  );
  return fitting.length === 0 ? null : fitting.map((pattern) => pattern.id);
}
