import { randomBytes } from 'node:crypto';
import pg from 'pg';

/**
 * Runs around all test files. Databases made on a server carry the name of the run, and whatever is left of them at its
 * end is dropped: also that of a test that failed before it could clean up.
 */
export default function setUp(): (() => Promise<void>) | undefined {
  const url = process.env.TEST_DATABASE_URL;
  if (url === undefined) return undefined;
  const prefix = `quaywatt_test_${randomBytes(4).toString('hex')}_`;
  process.env.TEST_DATABASE_PREFIX = prefix;
  return async () => {
    const client = new pg.Client(url);
    await client.connect();
    try {
      const sql = 'SELECT datname FROM pg_database WHERE starts_with(datname, $1)';
      const { rows } = await client.query<{ datname: string }>(sql, [prefix]);
      for (const { datname } of rows) await client.query(`DROP DATABASE IF EXISTS ${datname} WITH (FORCE)`);
    } finally {
      await client.end();
    }
  };
}
