import { parse } from 'csv-parse/sync';
import { Temporal } from 'temporal-polyfill';
import { z } from 'zod';
import { fromCell } from '../feeds/csv-text.ts';

/** One line of a file as it was sent: not yet held against the meters. */
export interface ReadingLine {
  readonly meterId: string;
  /** 0: the whole; 1 to 3: that line. */
  readonly line: number;
  /** Epoch milliseconds. */
  readonly from: number;
  readonly until: number | null;
  readonly value: number;
}

/** Reads lines; throws a RangeError in words for one that cannot be read. Null: nothing to read (a heading, an empty line). */
export type LineReader = (text: string) => ReadingLine | null;

const lineNumbers: Readonly<Record<string, number>> = { '': 0, all: 0, L1: 1, L2: 2, L3: 3 };
const columns = ['meterId', 'from', 'until', 'line', 'value'] as const;
type Column = (typeof columns)[number];

/** A reader of CSV: the first line names the columns, in any order. */
export function csvReader(timeZone: string): LineReader {
  const instantOf = instants(timeZone);
  let places: Readonly<Record<Column, number>> | null = null;
  let width = 0;
  return (text) => {
    if (text === '') return null;
    const fields = fieldsOf(text);
    if (places === null) {
      places = placesOf(fields);
      width = fields.length;
      return null;
    }
    if (fields.length !== width)
      throw new RangeError(
        `the line has ${fields.length} values and the first line names ${width}: decimals take a point, texts with commas take quotes`,
      );
    const field = (column: Column): string => fields[places?.[column] ?? -1]?.trim() ?? '';
    const until = field('until');
    return {
      meterId: fromCell(field('meterId')),
      line: lineNumber(field('line')),
      from: instantOf(field('from')),
      until: until === '' ? null : instantOf(until),
      value: valueIn(field('value')),
    };
  };
}

const ndjsonLine = z.strictObject({
  meterId: z.string(),
  from: z.string(),
  until: z.string().nullish(),
  line: z.string().nullish(),
  value: z.number(),
});

/** A reader of NDJSON: one object a line, with the names of the CSV's columns. */
export function ndjsonReader(timeZone: string): LineReader {
  const instantOf = instants(timeZone);
  return (text) => {
    if (text.trim() === '') return null;
    const parsed = ndjsonLine.safeParse(jsonOf(text));
    if (!parsed.success) {
      const [issue] = parsed.error.issues;
      throw new RangeError(`${issue?.path.join('.') || 'the line'}: ${issue?.message ?? 'cannot be read'}`);
    }
    const { meterId, from, until, line, value } = parsed.data;
    return {
      meterId,
      line: lineNumber(line ?? ''),
      from: instantOf(from),
      until: until == null ? null : instantOf(until),
      value: checkedValue(value, String(value)),
    };
  };
}

function fieldsOf(text: string): readonly string[] {
  if (!text.includes('"')) return text.split(',');
  const [row]: string[][] = parse(text, { relax_column_count: true });
  return row ?? [];
}

function placesOf(names: readonly string[]): Readonly<Record<Column, number>> {
  const trimmed = names.map((name) => name.replace(/^\uFEFF/, '').trim());
  const unknown = trimmed.filter((name) => !columns.some((column) => column === name));
  const missing = (['meterId', 'from', 'value'] as const).filter((column) => !trimmed.includes(column));
  if (unknown.length > 0 || missing.length > 0 || new Set(trimmed).size !== trimmed.length) {
    throw new RangeError(
      `the first line must name the columns meterId, from and value, and may name until and line, separated by commas; it reads "${names.join(',').slice(0, 100)}"`,
    );
  }
  return Object.fromEntries(columns.map((column) => [column, trimmed.indexOf(column)])) as Record<Column, number>;
}

function lineNumber(text: string): number {
  const line = lineNumbers[text];
  if (line === undefined)
    throw new RangeError(`line is "${text.slice(0, 20)}"; write L1, L2, L3, or nothing for the whole`);
  return line;
}

function valueIn(text: string): number {
  if (!/^[+-]?\d+(\.\d+)?([eE][+-]?\d+)?$/.test(text))
    throw new RangeError(`value is "${text.slice(0, 30)}"; write a number such as 1.25`);
  return checkedValue(Number(text), text);
}

function checkedValue(value: number, text: string): number {
  if (value < 0)
    throw new RangeError(
      `value is ${text}: a meter reads no less than 0. Power that flows back belongs to another meter`,
    );
  if (!(value < 1e12)) throw new RangeError(`value is ${text}, which no meter reads`);
  return value;
}

const withOffset = /^\d{4}-\d\d-\d\d[T ]\d\d:\d\d(:\d\d(\.\d{1,3})?)?(Z|[+-]\d\d:\d\d)$/;
const withoutOffset = /^\d{4}-\d\d-\d\d[T ]\d\d:\d\d(:\d\d)?$/;

/**
 * Instants as files give them. Without an offset they are by the marina's clocks; an hour that the clocks show twice or
 * skip is then refused, never guessed.
 */
function instants(timeZone: string): (text: string) => number {
  // Files run in order of time: the offset of an hour serves all its readings.
  const offsets = new Map<string, number | string>();
  return (text) => {
    if (withOffset.test(text)) {
      const at = Date.parse(text.replace(' ', 'T'));
      if (!Number.isNaN(at) && at >= 0) return at;
    }
    if (!withoutOffset.test(text)) {
      throw new RangeError(`"${text.slice(0, 40)}" is no instant; write 2030-06-14T15:00:00-05:00`);
    }
    const hour = text.slice(0, 13).replace(' ', 'T');
    let offset = offsets.get(hour);
    if (offset === undefined) {
      offset = offsetOf(hour, timeZone);
      if (offsets.size > 10_000) offsets.clear();
      offsets.set(hour, offset);
    }
    if (typeof offset === 'string') throw new RangeError(offset);
    const at = Date.parse(`${text.replace(' ', 'T')}Z`);
    if (Number.isNaN(at)) throw new RangeError(`"${text}" is no time of any day`);
    return at - offset;
  };
}

/** Milliseconds ahead of UTC in an hour on the marina's clocks, or why there is no one answer. */
function offsetOf(hour: string, timeZone: string): number | string {
  let wanted: Temporal.PlainDateTime;
  try {
    wanted = Temporal.PlainDateTime.from(`${hour}:00`, { overflow: 'reject' });
  } catch {
    return `"${hour}" is no hour of any day`;
  }
  const earlier = wanted.toZonedDateTime(timeZone, { disambiguation: 'earlier' });
  const later = wanted.toZonedDateTime(timeZone, { disambiguation: 'later' });
  if (earlier.offsetNanoseconds === later.offsetNanoseconds) return earlier.offsetNanoseconds / 1e6;
  const happens = earlier.toPlainDateTime().equals(wanted) ? 'twice' : 'never';
  return `the clocks change: ${hour.replace('T', ' ')}h happens ${happens} in ${timeZone}. Give times with their offset, such as ${earlier.offset}`;
}

function jsonOf(text: string): unknown {
  try {
    return JSON.parse(text);
  } catch {
    throw new RangeError('the line is no JSON object');
  }
}
