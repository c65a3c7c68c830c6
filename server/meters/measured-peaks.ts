import { setImmediate as turn } from 'node:timers/promises';
import type pg from 'pg';
import type { MeterCover } from '../../core/upgrades/measured/meter-cover.ts';
import { laterPeak, type PartPeak, readingSums, registerDemand } from '../../core/upgrades/measured/sum-readings.ts';

interface Row {
  readonly meter_id: string;
  readonly line: number;
  readonly at: Buffer;
  readonly value: Buffer;
}

const dayMs = 86_400_000;
// Some 50 MB in the database and as much here, for each of two pieces at once.
const mostReadings = 2_000_000;
const atOnce = 2;

interface Asked {
  readonly marinaId: string;
  readonly until: number;
  readonly intervalMs: number;
  readonly cover: MeterCover;
  readonly meterIds: readonly string[];
  readonly registerIds: ReadonlySet<string>;
}

/**
 * The largest load of every part over a period. The database hands over each meter's readings as two arrays, which takes
 * less than half of the time of summing millions of rows by moment there; the sums are core's. A period is read in pieces cut
 * at days, two at once, so that memory does not grow with it.
 */
export async function measuredPeaks(
  pool: pg.Pool,
  marinaId: string,
  period: { readonly from: number; readonly until: number },
  intervalMs: number,
  cover: MeterCover,
  registerIds: ReadonlySet<string>,
): Promise<readonly PartPeak[]> {
  const meterIds = [...new Set(cover.weights.map(({ meterId }) => meterId))];
  const perDay = Math.max(1, (cover.weights.length * dayMs) / intervalMs);
  const pieceMs = Math.max(1, Math.floor(mostReadings / perDay)) * dayMs;
  const asked: Asked = { marinaId, until: period.until, intervalMs, cover, meterIds, registerIds };
  const pieces: { from: number; until: number }[] = [];
  for (let from = period.from; from < period.until; ) {
    const until = Math.min(period.until, Math.floor(from / dayMs) * dayMs + pieceMs);
    pieces.push({ from, until });
    from = until;
  }
  let peaks: readonly PartPeak[] | null = null;
  for (let first = 0; first < pieces.length; first += atOnce) {
    const found = await Promise.all(
      pieces.slice(first, first + atOnce).map((piece) => peaksOfPiece(pool, asked, piece)),
    );
    for (const later of found) {
      peaks = peaks === null ? later : peaks.map((before, i) => laterPeak(before, later[i] ?? before));
    }
  }
  return peaks ?? [];
}

async function peaksOfPiece(
  pool: pg.Pool,
  asked: Asked,
  { from, until }: { readonly from: number; readonly until: number },
): Promise<readonly PartPeak[]> {
  const { intervalMs, cover, registerIds } = asked;
  // The first interval that begins in the piece.
  const first = Math.ceil(from / intervalMs) * intervalMs;
  const count = Math.max(0, Math.ceil((until - first) / intervalMs));
  const sums = readingSums(cover, { from: first, count, intervalMs });
  for (const { meter_id, line, at, value } of await readArrays(pool, asked, { from, until })) {
    const read = { at: instantsIn(at), values: numbersIn(value) };
    const counted = registerIds.has(meter_id) ? registerDemand(read.at, read.values, intervalMs) : read;
    sums.add(meter_id, line, counted.at, counted.values);
  }
  await turn();
  return sums.peaks();
}

async function readArrays(
  pool: pg.Pool,
  { marinaId, until: end, intervalMs, meterIds, registerIds }: Asked,
  { from, until }: { readonly from: number; readonly until: number },
): Promise<readonly Row[]> {
  const client = await pool.connect();
  try {
    await client.query('BEGIN READ ONLY');
    // Compiling the statement takes longer than it saves.
    await client.query('SET LOCAL jit = off');
    const { rows } = await client.query<Row>(
      `SELECT meter_id, line, array_send(array_agg(from_at)) AS at, array_send(array_agg(value)) AS value
         FROM meter_reading
        WHERE marina_id = $1 AND meter_id = ANY ($2::text[])
          AND from_at >= $3 AND (from_at < $4 OR (from_at <= $5 AND meter_id = ANY ($6::text[])))
        GROUP BY meter_id, line`,
      [
        marinaId,
        meterIds,
        new Date(from),
        new Date(until),
        // The reading that ends a register's last interval.
        new Date(Math.min(end, until + intervalMs)),
        [...registerIds],
      ],
    );
    return rows;
  } finally {
    await client.query('ROLLBACK').catch(() => {});
    client.release();
  }
}

/*
 * PostgreSQL's own form of an array without nulls: 20 bytes of heading, then 4 bytes of length and 8 of value for each.
 * A moment is whole microseconds from 2000 on.
 */
const headingBytes = 20;
const elementBytes = 12;
const epoch2000Ms = 946_684_800_000;

function numbersIn(array: Buffer): Float64Array {
  const view = new DataView(array.buffer, array.byteOffset, array.byteLength);
  const values = new Float64Array(lengthOf(array));
  for (let i = 0; i < values.length; i++) values[i] = view.getFloat64(headingBytes + i * elementBytes + 4);
  return values;
}

function instantsIn(array: Buffer): Float64Array {
  const view = new DataView(array.buffer, array.byteOffset, array.byteLength);
  const values = new Float64Array(lengthOf(array));
  for (let i = 0; i < values.length; i++) {
    const place = headingBytes + i * elementBytes + 4;
    values[i] = epoch2000Ms + (view.getInt32(place) * 4_294_967_296 + view.getUint32(place + 4)) / 1_000;
  }
  return values;
}

function lengthOf(array: Buffer): number {
  const length = (array.byteLength - headingBytes) / elementBytes;
  if (!Number.isInteger(length)) throw new Error(`An array of ${array.byteLength} bytes has no whole elements.`);
  return length;
}
