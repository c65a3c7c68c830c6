import type { Readable } from 'node:stream';
import { marinaTransaction } from '../db/marina-transaction.ts';
import { Problem } from '../errors.ts';
import type { Principal } from '../http/access.ts';
import type { Services } from '../services.ts';
import { linesOf } from './lines-of.ts';
import { csvReader, type LineReader, ndjsonReader, type ReadingLine } from './reading-line.ts';
import { type Batch, type StoreMode, storeBatch } from './store-batch.ts';

export interface ImportOfReadings {
  readonly principal: Principal;
  readonly now: number;
  readonly type: 'text/csv' | 'application/x-ndjson';
  readonly stream: Readable;
}

export interface Imported {
  /** Lines with a reading, sound or not. */
  readonly lines: number;
  readonly stored: number;
  readonly repeated: number;
  readonly refused: number;
  /** The first hundred refused lines. */
  readonly errors: readonly { readonly line: number; readonly message: string }[];
}

const batchSize = 50_000;
const mostErrors = 100;

interface KnownMeter {
  readonly place: number;
  readonly quantity: string;
  readonly intervalMs: number;
}

/**
 * Reads a file of readings as it comes and stores what is sound, batch by batch, in memory that does not grow with the
 * file. A faulty line is told with its number and left out; the file can be mended and sent again whole.
 */
export async function importReadings(
  { db }: Services,
  { principal, now, type, stream }: ImportOfReadings,
): Promise<Imported> {
  const { marinaId } = principal;
  const marina = await db.prisma.marina.findUnique({ where: { id: marinaId }, select: { timeZone: true } });
  if (marina === null) throw new Problem('not-found', `There is no marina "${marinaId}".`);
  const stored = await db.prisma.meter.findMany({ where: { marinaId, retiredAt: null } });
  const meters = new Map<string, KnownMeter>(
    stored.map(({ id, quantity, intervalMinutes }, place) => [
      id,
      { place, quantity, intervalMs: intervalMinutes * 60_000 },
    ]),
  );
  const meterIds = stored.map(({ id }) => id);
  const read: LineReader = type === 'text/csv' ? csvReader(marina.timeZone) : ndjsonReader(marina.timeZone);

  const total = { stored: 0, repeated: 0, refused: 0 };
  const errors: { line: number; message: string }[] = [];
  const refuse = (line: number, message: string) => {
    total.refused++;
    errors.push({ line, message });
    if (errors.length >= 2 * mostErrors) firstOf(errors);
  };
  let batch = emptyBatch(meterIds);
  let mode: StoreMode = 'expectNew';
  const store = async (full: Batch) => {
    const done = await storeBatch(db.pool, marinaId, full, mode);
    mode = done.mode;
    total.stored += done.stored;
    total.repeated += done.repeated;
    for (const { fileLine, stored: before, sent } of done.contradictions) {
      refuse(
        fileLine,
        `this moment is read already as ${before}, and here as ${sent}: delete the stored readings of the meter first if they are wrong`,
      );
    }
  };
  // One batch is stored while the next is read.
  let storing: Promise<void> = Promise.resolve();
  const flush = async () => {
    await storing;
    if (batch.values.length === 0) return;
    storing = store(batch);
    // Its failure is thrown by whoever waits for it next.
    storing.catch(() => {});
    batch = emptyBatch(meterIds);
  };
  let fileLine = 0;
  for await (const lines of linesOf(stream)) {
    for (const text of lines) {
      fileLine++;
      try {
        const reading = read(text);
        if (reading === null) continue;
        put(batch, reading, meterOf(reading, meters, now), fileLine);
      } catch (error) {
        if (!(error instanceof RangeError)) throw error;
        // Without a heading no line can be read.
        if (fileLine === 1 && type === 'text/csv') {
          stream.resume();
          throw new Problem('invalid-input', `The file cannot be read: ${error.message}.`, {
            errors: [{ in: 'body', pointer: '', message: error.message }],
          });
        }
        refuse(fileLine, error.message);
      }
      if (batch.values.length === batchSize) await flush();
    }
  }
  await flush();
  await storing;
  if (total.stored > 0) {
    await marinaTransaction(
      db,
      { marinaId, actor: principal.id, kind: 'meterReadings.imported', now },
      ({ recordChange }) => recordChange(null, total),
    );
  }
  const lines = total.stored + total.repeated + total.refused;
  return { lines, ...total, errors: firstOf(errors) };
}

/** Leaves the first hundred by their lines: contradictions are found batch by batch, after faults of later lines. */
function firstOf<Told extends { readonly line: number }>(errors: Told[]): Told[] {
  errors.sort((a, b) => a.line - b.line).splice(mostErrors);
  return errors;
}

function emptyBatch(meterIds: readonly string[]): Batch {
  return { meterIds, meters: [], lines: [], from: [], values: [], fileLines: [] };
}

function put(batch: Batch, reading: ReadingLine, meter: KnownMeter, fileLine: number): void {
  batch.meters.push(meter.place);
  batch.lines.push(reading.line);
  batch.from.push(reading.from);
  batch.values.push(reading.value);
  batch.fileLines.push(fileLine);
}

const dayMs = 86_400_000;

/** The meter of a reading that fits it. Throws a RangeError in words where there is none, or the interval is not one of its own. */
function meterOf(reading: ReadingLine, meters: ReadonlyMap<string, KnownMeter>, now: number): KnownMeter {
  const meter = meters.get(reading.meterId);
  if (meter === undefined) throw new RangeError(`there is no meter "${reading.meterId.slice(0, 100)}" in use`);
  if (meter.quantity === 'amperes' && reading.line === 0)
    throw new RangeError(`meter "${reading.meterId}" reads amperes: name the line, L1, L2 or L3`);
  if (meter.quantity !== 'amperes' && reading.line !== 0)
    throw new RangeError(
      `meter "${reading.meterId}" reads the whole: leave the line out, or declare it as a meter of amperes`,
    );
  if (reading.from > now + dayMs)
    throw new RangeError(`${new Date(reading.from).toISOString()} is still to come: check the clock of the meter`);
  if (meter.quantity === 'registerKwh') return meter;
  const minutes = meter.intervalMs / 60_000;
  if (reading.from % meter.intervalMs !== 0) {
    const begun = new Date(reading.from - (reading.from % meter.intervalMs)).toISOString();
    throw new RangeError(
      `${new Date(reading.from).toISOString()} overlaps the interval that begins at ${begun}: meter "${reading.meterId}" reads every ${minutes} min`,
    );
  }
  if (reading.until !== null && reading.until - reading.from !== meter.intervalMs) {
    throw new RangeError(
      `the interval is ${(reading.until - reading.from) / 60_000} min long and would ${reading.until - reading.from > meter.intervalMs ? 'overlap the next' : 'leave a gap'}: meter "${reading.meterId}" reads every ${minutes} min`,
    );
  }
  return meter;
}
