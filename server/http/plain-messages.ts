import type { z } from 'zod';

type Issue = z.core.$ZodRawIssue;

/** What a value of each kind is called where people read it. */
const kinds: Readonly<Record<string, string>> = {
  string: 'text',
  number: 'a number',
  int: 'a whole number',
  boolean: 'true or false',
  array: 'a list',
  object: 'an object with its fields',
  record: 'an object with its fields',
  null: 'null',
  undefined: 'nothing',
};

/**
 * The words of one fault: what is wrong with the value and what is wanted instead. Where a schema has a message of its
 * own, that one stands. Give it to `safeParse` as `error`.
 */
export function plainMessage(issue: Issue): string | undefined {
  const isMissing = issue.input === undefined;
  switch (issue.code) {
    case 'invalid_type':
      if (issue.expected === 'undefined') return 'This request takes no body. Leave it out.';
      return isMissing
        ? `This is missing. Give ${kindOf(issue)}.`
        : `This is ${wordsOf(issue.input)}. Give ${kindOf(issue)}.`;
    case 'invalid_value':
      return isMissing
        ? `This is missing. Give ${choice(issue.values)}.`
        : `${shown(issue.input)} is not known here. Give ${choice(issue.values)}.`;
    case 'invalid_union':
      return isMissing ? 'This is missing.' : unionMessage(issue);
    case 'invalid_format':
      return formats[issue.format];
    case 'too_small':
    case 'too_big':
      return bound(issue);
    default:
      return undefined;
  }
}

const formats: Readonly<Record<string, string>> = {
  date: 'Write a day of the calendar: 2030-06-14.',
  datetime: 'Write an instant with offset: 2030-06-14T15:00:00-05:00.',
};

/** What each form would have wanted, once. */
function unionMessage({ errors }: Issue & { readonly code: 'invalid_union' }): string {
  const wanted = new Set(errors.flatMap((branch) => branch.map(({ message }) => message)));
  return wanted.size === 0 ? 'This has none of the forms that are taken here.' : [...wanted].join(' Or: ');
}

function kindOf({ expected }: Issue): string {
  return kinds[String(expected)] ?? String(expected);
}

function wordsOf(input: unknown): string {
  if (input === null) return 'null';
  if (Array.isArray(input)) return 'a list';
  if (typeof input === 'number' && !Number.isFinite(input)) return 'no number';
  if (typeof input === 'number' && !Number.isInteger(input)) return 'a number with decimals';
  return kinds[typeof input] ?? typeof input;
}

// More than these nobody reads; the API's description has them all.
const mostChoices = 30;

function choice(values: readonly unknown[]): string {
  const words = values.slice(0, mostChoices).map(shown);
  const more = values.length > mostChoices ? ', ...' : '';
  return words.length === 1 ? (words[0] ?? '') : `one of ${words.join(', ')}${more}`;
}

const longestShown = 60;

function shown(value: unknown): string {
  const text = typeof value === 'string' || typeof value !== 'object' ? JSON.stringify(value) : wordsOf(value);
  const words = text ?? wordsOf(value);
  return words.length > longestShown ? `${words.slice(0, longestShown)}..."` : words;
}

function bound(issue: Issue): string | undefined {
  const isLeast = issue.code === 'too_small';
  const limit = Number(isLeast ? issue.minimum : issue.maximum);
  const inclusive = issue.inclusive !== false;
  switch (issue.origin) {
    case 'string':
      return isLeast
        ? `Write at least ${counted(limit, 'character')}.`
        : `Write at most ${counted(limit, 'character')}.`;
    case 'array':
      return isLeast ? `List at least ${counted(limit, 'item')}.` : `List at most ${counted(limit, 'item')}.`;
    case 'number':
    case 'int':
      if (isLeast)
        return `${String(issue.input)} is too small. Give ${inclusive ? `at least ${limit}` : `more than ${limit}`}.`;
      return `${String(issue.input)} is too large. Give ${inclusive ? `at most ${limit}` : `less than ${limit}`}.`;
    default:
      return undefined;
  }
}

function counted(count: number, noun: string): string {
  return `${count} ${noun}${count === 1 ? '' : 's'}`;
}
