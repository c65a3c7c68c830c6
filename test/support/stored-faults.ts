import type pg from 'pg';

/**
 * Looks for what must never be stored, in plain SQL that uses none of the service's own code and none of its
 * constraints. Each statement finds the offending rows.
 */
const searches: Readonly<Record<string, string>> = {
  'a number of a change that is missing': `
    SELECT m.id, m.seq, count(c.seq) AS changes, max(c.seq) AS last FROM marina m LEFT JOIN change c ON c.marina_id = m.id
    GROUP BY m.id, m.seq HAVING m.seq <> count(c.seq) OR m.seq <> coalesce(max(c.seq), 0)`,
  'the same space twice at once': `
    SELECT a.marina_id, a.unit_id, a.id, b.id AS other FROM space_use a JOIN space_use b
      ON a.marina_id = b.marina_id AND a.unit_id = b.unit_id AND a.id < b.id
     AND a.from_m < b.until_m AND b.from_m < a.until_m AND a.from_at < b.until_at AND b.from_at < a.until_at`,
  'the same outlet twice at once': `
    SELECT a.marina_id, a.outlet_id, a.id, b.id AS other FROM outlet_use a JOIN outlet_use b
      ON a.marina_id = b.marina_id AND a.outlet_id = b.outlet_id AND a.id < b.id
     AND a.from_at < b.until_at AND b.from_at < a.until_at`,
  'one stay in two places at once': `
    SELECT a.marina_id, a.stay_id, a.id, b.id AS other FROM assignment a JOIN assignment b
      ON a.marina_id = b.marina_id AND a.stay_id = b.stay_id AND a.id < b.id
     AND a.from_at < b.until_at AND b.from_at < a.until_at`,
  'more adapters lent than there are': `
    SELECT u.marina_id, u.stock_id, sum(o.quantity) AS lent FROM stock_use u
      JOIN stock_use o ON o.marina_id = u.marina_id AND o.stock_id = u.stock_id
       AND o.from_at <= u.from_at AND u.from_at < o.until_at
      JOIN adapter_stock s ON s.marina_id = u.marina_id AND s.id = u.stock_id
    GROUP BY u.marina_id, u.id, u.stock_id, s.quantity HAVING sum(o.quantity) > s.quantity`,
  'an assignment without the space of its berth': `
    SELECT a.marina_id, a.id, b.unit_id FROM assignment a JOIN berth_unit b USING (marina_id, berth_id)
    WHERE (SELECT count(*) FROM space_use u WHERE u.marina_id = a.marina_id AND u.assignment_id = a.id
       AND u.unit_id = b.unit_id AND u.from_at = a.from_at AND u.until_at = a.occupied_until
       AND u.from_m = coalesce(a.face_from_m, 0) AND u.until_m = coalesce(a.face_until_m, 1)) <> 1`,
  'space kept for an assignment that does not take it': `
    SELECT u.marina_id, u.id FROM space_use u JOIN assignment a ON a.marina_id = u.marina_id AND a.id = u.assignment_id
    WHERE NOT EXISTS (SELECT FROM berth_unit b
      WHERE b.marina_id = a.marina_id AND b.berth_id = a.berth_id AND b.unit_id = u.unit_id)`,
  'a hook-up whose outlets are not kept, or others': `
    SELECT a.marina_id, a.id FROM assignment a WHERE
      (SELECT coalesce(jsonb_agg(o ORDER BY o), '[]') FROM jsonb_array_elements_text(a.hook_up -> 'outletIds') o)
      <> (SELECT coalesce(jsonb_agg(u.outlet_id ORDER BY u.outlet_id), '[]') FROM outlet_use u
          WHERE u.marina_id = a.marina_id AND u.assignment_id = a.id)`,
  'a hook-up whose adapters are not lent, or others': `
    SELECT a.marina_id, a.id FROM assignment a WHERE
      (SELECT count(*) FROM jsonb_path_query(a.hook_up, '$.connection.hookUp.adapters[*] ? (@.from == "stock")'))
      <> (SELECT coalesce(sum(u.quantity), 0) FROM stock_use u WHERE u.marina_id = a.marina_id AND u.assignment_id = a.id)`,
  'an assignment that no change tells of': `
    SELECT a.marina_id, a.id FROM assignment a WHERE NOT EXISTS (SELECT FROM change c
      WHERE c.marina_id = a.marina_id AND (c.after #>> '{assignment,id}' = a.id
        OR jsonb_path_exists(c.after, '$.assignments[*] ? (@.id == $id)', jsonb_build_object('id', a.id))))`,
  'a stay promised or offered without a berth, unless it was displaced, or a berth of one that has none to expect': `
    SELECT s.marina_id, s.id, s.state FROM stay s, LATERAL (SELECT EXISTS (
      SELECT FROM assignment a WHERE a.marina_id = s.marina_id AND a.stay_id = s.id) AS has_berth) a
    WHERE s.state IN ('promised', 'offered') AND NOT has_berth AND s.needs_berth IS NULL
      OR s.state IN ('requested', 'cancelled', 'turnedAway', 'noShow') AND has_berth`,
};

/** Everything that contradicts itself in a database, as lines to read; none is sound. */
export async function storedFaults(pool: pg.Pool): Promise<string[]> {
  const client = await pool.connect();
  try {
    // One moment for all of them, though somebody may be writing.
    await client.query('BEGIN ISOLATION LEVEL REPEATABLE READ READ ONLY');
    const faults = await faultsSeenBy(client);
    await client.query('COMMIT');
    return faults;
  } finally {
    client.release();
  }
}

/** The same within a transaction of the caller's. */
export async function faultsSeenBy(client: pg.PoolClient): Promise<string[]> {
  const faults: string[] = [];
  for (const [fault, sql] of Object.entries(searches)) {
    const { rows } = await client.query(sql);
    faults.push(...rows.map((row) => `${fault}: ${JSON.stringify(row)}`));
  }
  return faults;
}
