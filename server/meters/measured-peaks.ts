import type pg from 'pg';
import type { MeterCover } from '../../core/upgrades/measured/meter-cover.ts';

/** What the readings of one part come to. */
export interface MeasuredPeak {
  readonly equipmentId: string;
  readonly peakVa: number | null;
  readonly peakAt: number | null;
  readonly peakA: number | null;
  /** Intervals with any reading, and with one of every meter. */
  readonly intervals: number;
  readonly complete: number;
  readonly daysRead: number;
}

interface Row {
  readonly part: string;
  readonly peak_va: number | null;
  readonly peak_at: Date | null;
  readonly peak_a: number | null;
  readonly intervals: number;
  readonly complete: number;
  readonly days_read: number;
}

/**
 * The largest load of every part over a period, from all readings in one statement: readings are summed by node and
 * moment first, nodes by part after, so that each reading is touched once whatever the depth of the tree. A register's
 * readings become the average over the interval that they enclose; where it fell, it was restarted, and the interval is
 * a gap.
 */
export async function measuredPeaks(
  pool: pg.Pool,
  marinaId: string,
  period: { readonly from: number; readonly until: number },
  { weights, parts }: MeterCover,
  registers: readonly { readonly meterId: string; readonly intervalMinutes: number }[],
): Promise<MeasuredPeak[]> {
  const pairs = parts.flatMap(({ equipmentId, nodeIds, linesKnownNodeIds }) => {
    const known = new Set(linesKnownNodeIds);
    return nodeIds.map((nodeId) => ({ equipmentId, nodeId, lines: known.has(nodeId) ? 1 : 0 }));
  });
  const meterCount = new Map(parts.map(({ equipmentId, meterIds }) => [equipmentId, meterIds.length]));
  const rows = await inMemory(pool, registers.length === 0 ? peaksOfIntervals : peaksWithRegisters, [
    marinaId,
    new Date(period.from),
    new Date(period.until),
    weights.map(({ meterId }) => meterId),
    weights.map(({ line }) => line),
    weights.map(({ nodeId }) => nodeId),
    weights.map(({ va }) => va),
    weights.map(({ a1 }) => a1),
    weights.map(({ a2 }) => a2),
    weights.map(({ a3 }) => a3),
    weights.map(({ counts }) => counts),
    pairs.map(({ equipmentId }) => equipmentId),
    pairs.map(({ nodeId }) => nodeId),
    pairs.map(({ lines }) => lines),
    [...meterCount.keys()],
    [...meterCount.values()],
    ...(registers.length === 0
      ? []
      : [registers.map(({ meterId }) => meterId), registers.map(({ intervalMinutes }) => intervalMinutes)]),
  ]);
  return rows.map((row) => ({
    equipmentId: row.part,
    peakVa: row.peak_va,
    peakAt: row.peak_at?.getTime() ?? null,
    peakA: row.peak_a,
    intervals: row.intervals,
    complete: row.complete,
    daysRead: row.days_read,
  }));
}

/** Sums of a season by moment are some 50 MB: on disk, as the usual setting has it, they take twice as long. */
async function inMemory(pool: pg.Pool, sql: string, parameters: readonly unknown[]): Promise<Row[]> {
  const client = await pool.connect();
  try {
    await client.query('BEGIN READ ONLY');
    await client.query("SET LOCAL work_mem = '128MB'");
    const { rows } = await client.query<Row>(sql, [...parameters]);
    return rows;
  } finally {
    await client.query('ROLLBACK').catch(() => {});
    client.release();
  }
}

const intervalReadings = `
  SELECT meter_id, line, from_at, value FROM meter_reading
   WHERE marina_id = $1 AND from_at >= $2 AND from_at < $3`;

/** Average kW between two readings of a register, where they are one interval apart and the register did not fall. */
const registerReadings = `
  SELECT s.meter_id, s.line, s.from_at, (s.next_value - s.value) * 60 / g.minutes AS value
    FROM (SELECT meter_id, line, from_at, value,
                 lead(value) OVER w AS next_value, lead(from_at) OVER w AS next_at
            FROM meter_reading
           WHERE marina_id = $1 AND from_at >= $2 AND from_at <= $3 AND meter_id = ANY ($17::text[])
          WINDOW w AS (PARTITION BY meter_id, line ORDER BY from_at)) s
    JOIN unnest($17::text[], $18::int[]) AS g (meter_id, minutes) USING (meter_id)
   WHERE s.next_value >= s.value AND s.next_at - s.from_at = make_interval(mins => g.minutes) AND s.from_at < $3`;

const peaksOf = (readings: string) => `
  WITH weight AS (
    SELECT * FROM unnest($4::text[], $5::smallint[], $6::text[], $7::float8[], $8::float8[], $9::float8[], $10::float8[],
                         $11::int[])
      AS weight (meter_id, line, node, va, a1, a2, a3, counts)),
  node AS MATERIALIZED (
    SELECT w.node, r.from_at, sum(r.value * w.va) AS va, sum(r.value * w.a1) AS a1, sum(r.value * w.a2) AS a2,
           sum(r.value * w.a3) AS a3, sum(w.counts) AS meters
      FROM (${readings}) r JOIN weight w USING (meter_id, line)
     GROUP BY w.node, r.from_at),
  part AS MATERIALIZED (
    SELECT p.part, n.from_at, sum(n.va) AS va, min(p.lines) AS lines,
           greatest(sum(n.a1), sum(n.a2), sum(n.a3)) AS a, sum(n.meters) AS meters
      FROM unnest($12::text[], $13::text[], $14::int[]) AS p (part, node, lines) JOIN node n USING (node)
     GROUP BY p.part, n.from_at),
  peak AS (
    SELECT part.part, max(va) AS peak_va, CASE WHEN min(part.lines) = 1 THEN max(a) END AS peak_a,
           count(*)::int AS intervals, (count(*) FILTER (WHERE part.meters >= c.meters))::int AS complete,
           (count(DISTINCT date_trunc('day', from_at)) FILTER (WHERE part.meters >= c.meters))::int AS days_read
      FROM part JOIN unnest($15::text[], $16::int[]) AS c (part, meters) USING (part)
     GROUP BY part.part)
  SELECT peak.*, (SELECT min(part.from_at) FROM part WHERE part.part = peak.part AND part.va = peak.peak_va) AS peak_at
    FROM peak`;

const peaksOfIntervals = peaksOf(intervalReadings);
const peaksWithRegisters = peaksOf(
  `${intervalReadings} AND NOT meter_id = ANY ($17::text[]) UNION ALL ${registerReadings}`,
);
