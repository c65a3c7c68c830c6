import { afterAll, beforeAll, expect, test } from 'vitest';
import { openTestDatabase, type TestDatabase } from '../../support/database.ts';
import { createRaceMarina, rowOfSlips } from '../../support/row-of-slips.ts';
import { faultsSeenBy, storedFaults } from '../../support/stored-faults.ts';

// The search that races and kills rely on must itself find what it looks for.

let database: TestDatabase;
beforeAll(async () => {
  database = await openTestDatabase();
  await createRaceMarina(database.db, 'm', rowOfSlips({ slips: 2, stepDowns: 1 }), 2);
  const { pool } = database.db;
  const [from, until] = ["'2031-06-10T20:00Z'", "'2031-06-12T15:00Z'"];
  const hookUp = JSON.stringify({
    outletIds: ['O1'],
    connection: { hookUp: { adapters: [{ from: 'stock', stockId: 'stock' }] } },
  });
  await pool.query(`INSERT INTO assignment (marina_id, id, stay_id, berth_id, orientation, from_at, until_at,
      occupied_until, hook_up, findings, verdict, overrides, rules_edition, inventory_revision)
    VALUES ('m', 'a', 'stay-1', 'S1', 'bowIn', ${from}, ${until}, ${until}, '${hookUp}', '[]', 'clear', '[]', 'x', 1);
    INSERT INTO space_use (marina_id, unit_id, from_m, until_m, from_at, until_at, assignment_id)
    VALUES ('m', 'S1', 0, 1, ${from}, ${until}, 'a');
    INSERT INTO outlet_use (marina_id, outlet_id, from_at, until_at, assignment_id)
    VALUES ('m', 'O1', ${from}, ${until}, 'a');
    INSERT INTO stock_use (marina_id, stock_id, quantity, from_at, until_at, assignment_id)
    VALUES ('m', 'stock', 1, ${from}, ${until}, 'a');
    UPDATE stay SET state = 'promised' WHERE id = 'stay-1';
    UPDATE marina SET seq = seq + 1;
    INSERT INTO change (marina_id, seq, kind, actor, at, after)
    VALUES ('m', 3, 'stay.assigned', 'x', now(), '{"assignment":{"id":"a"}}')`);
  // With them nothing could be planted.
  await pool.query(`ALTER TABLE space_use DROP CONSTRAINT space_use_once;
    ALTER TABLE outlet_use DROP CONSTRAINT outlet_use_once;
    ALTER TABLE assignment DROP CONSTRAINT assignment_one_place`);
});
afterAll(() => database?.close());

test('a sound database has none', async () => {
  expect(await storedFaults(database.db.pool)).toEqual([]);
});

const again = (table: string, change: string) =>
  `INSERT INTO ${table} SELECT (jsonb_populate_record(t, '${change}')).* FROM ${table} t WHERE id = (SELECT min(id) FROM ${table})`;

test.each([
  ['a number of a change that is missing', 'DELETE FROM change WHERE seq = 2'],
  ['a number of a change that is missing', 'UPDATE marina SET seq = seq + 1'],
  ['the same space twice at once', again('space_use', '{"id":99}')],
  ['the same outlet twice at once', again('outlet_use', '{"id":99}')],
  ['one stay in two places at once', again('assignment', '{"id":"b","berth_id":"S2"}')],
  ['more adapters lent than there are', again('stock_use', '{"id":99}')],
  ['an assignment without the space of its berth', 'DELETE FROM space_use'],
  ['an assignment without the space of its berth', "UPDATE space_use SET until_at = until_at - interval '1 minute'"],
  ['space kept for an assignment that does not take it', again('space_use', '{"id":99,"unit_id":"S2"}')],
  ['a hook-up whose outlets are not kept, or others', 'DELETE FROM outlet_use'],
  ['a hook-up whose outlets are not kept, or others', "UPDATE outlet_use SET outlet_id = 'O2'"],
  ['a hook-up whose adapters are not lent, or others', 'DELETE FROM stock_use'],
  ['an assignment that no change tells of', "UPDATE change SET after = '{}'"],
  [
    'a stay promised or offered without a berth, unless it was displaced, or a berth of one that has none to expect',
    "UPDATE stay SET state = 'promised'",
  ],
  [
    'a stay promised or offered without a berth, unless it was displaced, or a berth of one that has none to expect',
    "UPDATE stay SET state = 'requested'",
  ],
])('finds %s: %s', async (fault, plant) => {
  const client = await database.db.pool.connect();
  try {
    await client.query('BEGIN');
    await client.query(plant);
    expect((await faultsSeenBy(client)).join('\n')).toContain(`${fault}: {`);
  } finally {
    await client.query('ROLLBACK');
    client.release();
  }
});
