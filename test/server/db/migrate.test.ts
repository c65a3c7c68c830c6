import pg from 'pg';
import { afterAll, beforeAll, beforeEach, expect, test } from 'vitest';
import { startEmbedded } from '../../../server/db/embedded.ts';
import { type Migration, migrate, readMigrations } from '../../../server/db/migrate.ts';
import { createServerDatabase, freshFolder, testServerUrl } from '../../support/database.ts';

const one: Migration = { name: '1_one', sql: 'CREATE TABLE one (id integer)', checksum: 'a'.repeat(64) };
const two: Migration = { name: '2_two', sql: 'INSERT INTO one VALUES (2); SELECT 1;', checksum: 'b'.repeat(64) };

let pool: pg.Pool;
let remove: () => Promise<void>;

beforeAll(async () => {
  if (testServerUrl !== null) {
    const place = await createServerDatabase(testServerUrl);
    pool = new pg.Pool({ connectionString: place.environment.DATABASE_URL ?? '' });
    remove = place.remove;
    return;
  }
  const place = await freshFolder();
  const embedded = await startEmbedded(place.folder);
  pool = new pg.Pool({ host: embedded.socketFolder, user: 'postgres', database: 'postgres', max: 1 });
  remove = async () => {
    await embedded.stop();
    await place.remove();
  };
});
afterAll(async () => {
  await pool.end();
  await remove();
});
// Dropping the database may cut a connection that is just being closed.
beforeAll(() => {
  pool.on('error', () => {});
});
// An embedded template holds the project's own migrations; they are set aside.
beforeEach(async () => {
  await pool.query('DROP TABLE IF EXISTS one, _prisma_migrations');
});

test('applies what is missing, in order, once, with the rows of "prisma migrate deploy"', async () => {
  expect(await migrate(pool, [one])).toEqual(['1_one']);
  expect(await migrate(pool, [one, two])).toEqual(['2_two']);
  expect(await migrate(pool, [one, two])).toEqual([]);
  const { rows } = await pool.query('SELECT * FROM _prisma_migrations ORDER BY migration_name');
  expect(rows).toEqual(
    [one, two].map(({ name, checksum }) => ({
      id: expect.stringMatching(/^[0-9a-f-]{36}$/),
      checksum,
      finished_at: expect.any(Date),
      migration_name: name,
      logs: null,
      rolled_back_at: null,
      started_at: expect.any(Date),
      applied_steps_count: 1,
    })),
  );
});

test('keeps nothing of a migration that fails, and names it', async () => {
  const broken = { ...two, sql: 'INSERT INTO one VALUES (2); SELECT nothing FROM nowhere;' };
  await expect(migrate(pool, [one, broken])).rejects.toThrow(
    /^The migration "2_two" failed and nothing of it was kept/,
  );
  expect((await pool.query('SELECT * FROM one')).rows).toEqual([]);
  expect(await migrate(pool, [one, two])).toEqual(['2_two']);
});

test('refuses a changed file, a newer database and a failed row', async () => {
  await migrate(pool, [one, two]);
  await expect(migrate(pool, [one, { ...two, checksum: 'c'.repeat(64) }])).rejects.toThrow('"2_two" differs');
  await expect(migrate(pool, [one])).rejects.toThrow(/newer than this program: it holds the migration "2_two"/);
  await pool.query("UPDATE _prisma_migrations SET finished_at = NULL WHERE migration_name = '2_two'");
  await expect(migrate(pool, [one, two])).rejects.toThrow('failed migration "2_two"');
});

test('several that start together take turns', async () => {
  const applied = await Promise.all(Array.from({ length: 5 }, () => migrate(pool, [one, two])));
  expect(applied.flat().sort()).toEqual(['1_one', '2_two']);
});

test("the project's own migrations have names in order and checksums of their text", async () => {
  const migrations = await readMigrations();
  expect(migrations.length).toBeGreaterThan(0);
  for (const { name, checksum } of migrations) {
    expect(name).toMatch(/^\d{14}_\w+$/);
    expect(checksum).toMatch(/^[0-9a-f]{64}$/);
  }
});
