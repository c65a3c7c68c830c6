import type pg from 'pg';

interface GapRow {
  readonly kind: 'gap' | 'restart';
  readonly from_at: Date;
  readonly until_at: Date;
  readonly before: number;
  readonly after: number;
}

/** Where a meter did not read within a period, and where its register fell because it was restarted or changed. */
export async function gapsOf(
  pool: pg.Pool,
  marinaId: string,
  meter: { readonly id: string; readonly quantity: string; readonly intervalMinutes: number },
  period: { readonly from: number; readonly until: number },
) {
  const isRegister = meter.quantity === 'registerKwh';
  const { rows } = await pool.query<GapRow>(
    `WITH step AS (
       SELECT from_at, value, lag(from_at) OVER w AS before_at, lag(value) OVER w AS before
         FROM (SELECT from_at, max(value) AS value FROM meter_reading
                WHERE marina_id = $1 AND meter_id = $2 AND from_at >= $3 AND from_at < $4 GROUP BY from_at) r
       WINDOW w AS (ORDER BY from_at))
     (SELECT 'gap' AS kind, before_at + $5::interval AS from_at, from_at AS until_at, before, value AS after
        FROM step WHERE from_at - before_at > $5::interval ORDER BY from_at LIMIT 1000)
     UNION ALL
     (SELECT 'restart', before_at, from_at, before, value FROM step WHERE $6 AND value < before ORDER BY from_at LIMIT 1000)`,
    [marinaId, meter.id, new Date(period.from), new Date(period.until), `${meter.intervalMinutes} minutes`, isRegister],
  );
  const { rows: ends } = await pool.query<{ first: Date | null; last: Date | null }>(
    `SELECT min(from_at) AS first, max(from_at) AS last FROM meter_reading
      WHERE marina_id = $1 AND meter_id = $2 AND from_at >= $3 AND from_at < $4`,
    [marinaId, meter.id, new Date(period.from), new Date(period.until)],
  );
  const { first = null, last = null } = ends[0] ?? {};
  const reach = isRegister ? 0 : meter.intervalMinutes * 60_000;
  const outer = [
    { from: period.from, until: first?.getTime() ?? period.until },
    ...(last === null ? [] : [{ from: last.getTime() + reach, until: period.until }]),
  ].filter(({ from, until }) => from < until);
  const gaps = [
    ...outer,
    ...rows
      .filter(({ kind }) => kind === 'gap')
      .map((row) => ({ from: row.from_at.getTime(), until: row.until_at.getTime() })),
  ].sort((a, b) => a.from - b.from);
  return {
    gaps: gaps.map(({ from, until }) => ({ from: new Date(from).toISOString(), until: new Date(until).toISOString() })),
    restarts: rows
      .filter(({ kind }) => kind === 'restart')
      .map(({ until_at, before, after }) => ({ at: until_at.toISOString(), before, after })),
  };
}
