import { parse } from 'csv-parse/sync';
import { Temporal } from 'temporal-polyfill';
import { z } from 'zod';
import type { Inventory } from '../../core/inventory/inventory.ts';
import { Problem } from '../errors.ts';
import { type Call, newStaySchema } from '../stays/schema.ts';
import { requireToCome, stayPeriod } from '../stays/stay-period.ts';
import { fromCell } from './csv-text.ts';

/** Columns of a file of bookings; all but three may be left out or empty. */
export const bookingColumns = [
  'name',
  'phone',
  'boatName',
  'lengthOverallM',
  'beamM',
  'draftM',
  'hull',
  'plug',
  'arrival',
  'departure',
  'priority',
  'note',
] as const;
const needed = ['name', 'lengthOverallM', 'arrival', 'departure'];
/** Columns of an export that an import passes over. */
const passedOver = ['id', 'state', 'berth'];
const numbers: ReadonlySet<string> = new Set(['lengthOverallM', 'beamM', 'draftM', 'priority']);

/** What is wrong with a line of the file, by the number at its beginning; the first line names the columns. */
export interface LineFault {
  readonly line: number;
  readonly column: string | null;
  readonly message: string;
}

export interface BookingLines {
  readonly calls: readonly Call[];
  readonly faults: readonly LineFault[];
}

const recordSchema = z.array(z.object({ record: z.array(z.string()), info: z.object({ lines: z.number() }) }));

/** Reads a file of bookings. Every fault of every line is told; where there is any, nothing of the file is to be used. */
export function readBookingLines(
  text: string,
  clock: Pick<Inventory, 'timeZone' | 'settings'>,
  now: number,
): BookingLines {
  const faults: LineFault[] = [];
  const records = recordsOf(text, faults);
  const [header, ...rows] = records;
  if (header === undefined) return { calls: [], faults: [...faults, fault(1, null, 'The file is empty.')] };
  const columns = header.record.map((name) => name.trim());
  for (const name of columns) {
    if (![...bookingColumns, ...passedOver].includes(name)) {
      faults.push(fault(1, name, `There is no column "${name}". Columns: ${bookingColumns.join(', ')}.`));
    } else if (columns.indexOf(name) !== columns.lastIndexOf(name)) {
      faults.push(fault(1, name, `The column "${name}" is there twice. Remove one.`));
    }
  }
  for (const name of needed) {
    if (!columns.includes(name)) faults.push(fault(1, name, `The column "${name}" is missing.`));
  }
  if (faults.length > 0) return { calls: [], faults };
  const calls: Call[] = [];
  let before = header.info.lines;
  for (const { record, info } of rows) {
    const line = before + 1;
    before = info.lines;
    if (record.length !== columns.length) {
      faults.push(fault(line, null, `The line has ${record.length} values; the first line names ${columns.length}.`));
      continue;
    }
    const read = callOf(columns, record, clock, now);
    if ('faults' in read) faults.push(...read.faults.map(({ column, message }) => fault(line, column, message)));
    else calls.push(read.call);
  }
  return { calls, faults };
}

function recordsOf(text: string, faults: LineFault[]): z.output<typeof recordSchema> {
  try {
    return recordSchema.parse(
      parse(text, { bom: true, info: true, relax_column_count: true, skip_empty_lines: false }),
    );
  } catch (error) {
    if (!(error instanceof Error) || !('lines' in error)) throw error;
    faults.push(fault(Number(error.lines), null, 'The quotes of this line do not match. A quote inside quotes is "".'));
    return [{ record: [...needed], info: { lines: 1 } }];
  }
}

type ColumnFault = Pick<LineFault, 'column' | 'message'>;

function callOf(
  columns: readonly string[],
  record: readonly string[],
  clock: Pick<Inventory, 'timeZone' | 'settings'>,
  now: number,
): { readonly call: Call } | { readonly faults: readonly ColumnFault[] } {
  const said: Record<string, unknown> = {};
  const faults: ColumnFault[] = [];
  columns.forEach((column, position) => {
    const cell = fromCell((record[position] ?? '').trim());
    if (cell === '' || passedOver.includes(column)) return;
    if (numbers.has(column)) {
      if (/^-?\d+(\.\d+)?$/.test(cell)) said[column] = Number(cell);
      else faults.push({ column, message: `"${cell}" is no number. Write it with a point: 12.8.` });
    } else if (column === 'arrival' || column === 'departure') {
      const at = momentOf(cell, clock.timeZone);
      if ('fault' in at) faults.push({ column, message: at.fault });
      else said[column] = at.moment;
    } else {
      said[column] = cell;
    }
  });
  if (faults.length > 0) return { faults };
  const parsed = newStaySchema.safeParse(said);
  if (!parsed.success) {
    return { faults: parsed.error.issues.map(({ path, message }) => ({ column: String(path[0] ?? ''), message })) };
  }
  try {
    requireToCome(stayPeriod(parsed.data, clock, now), clock, now);
  } catch (error) {
    if (!(error instanceof Problem)) throw error;
    const errors = error.parts.errors ?? [];
    return { faults: errors.map(({ pointer, message }) => ({ column: pointer.slice(1), message })) };
  }
  return { call: parsed.data };
}

/** A day, an instant with offset, or what clocks at the marina show; an hour that they skip or show twice is named. */
function momentOf(cell: string, timeZone: string): { readonly moment: string } | { readonly fault: string } {
  if (!/^\d{4}-\d{2}-\d{2}[T ]\d{2}:\d{2}(:\d{2})?$/.test(cell)) return { moment: cell };
  try {
    const shown = Temporal.PlainDateTime.from(cell.replace(' ', 'T'), { overflow: 'reject' });
    const earlier = shown.toZonedDateTime(timeZone, { disambiguation: 'earlier' });
    const later = shown.toZonedDateTime(timeZone, { disambiguation: 'later' });
    if (!earlier.toPlainDateTime().equals(shown)) {
      return { fault: `Clocks at the marina skip ${cell}. Correct it, or give the instant with its offset.` };
    }
    if (!earlier.equals(later)) {
      const both = [earlier, later].map((each) => each.toString({ timeZoneName: 'never' })).join(' or ');
      return { fault: `Clocks at the marina show ${cell} twice. Write which is meant: ${both}.` };
    }
    return { moment: earlier.toInstant().toString() };
  } catch (error) {
    if (!(error instanceof RangeError)) throw error;
    return { fault: `"${cell}" is no time. Write a day, 2030-06-14, or a time, 2030-06-14T15:00.` };
  }
}

function fault(line: number, column: string | null, message: string): LineFault {
  return { line, column, message };
}
