import { createHash, randomUUID } from 'node:crypto';
import { readdir, readFile } from 'node:fs/promises';
import { join } from 'node:path';
import type pg from 'pg';
import { OperatorError } from '../operator-error.ts';
import { projectRoot } from '../project-root.ts';

/** One `migration.sql`, named by its folder. */
export interface Migration {
  readonly name: string;
  readonly sql: string;
  /** SHA-256 of the file, hex: what `prisma migrate deploy` writes. */
  readonly checksum: string;
}

interface AppliedMigration {
  readonly migration_name: string;
  readonly checksum: string;
  readonly finished: boolean;
}

/** Any number that nobody else takes as an advisory lock in this database. */
const lockNumber = 7_283_119_004;

/** The project's migrations, oldest first. */
export async function readMigrations(folder = join(projectRoot, 'prisma/migrations')): Promise<Migration[]> {
  const entries = await readdir(folder, { withFileTypes: true });
  const names = entries.filter((entry) => entry.isDirectory()).map((entry) => entry.name);
  return Promise.all(
    names.sort().map(async (name) => {
      const sql = await readFile(join(folder, name, 'migration.sql'), 'utf8');
      return { name, sql, checksum: createHash('sha256').update(sql).digest('hex') };
    }),
  );
}

/**
 * Brings the database up to `migrations` and returns the names it applied. Writes the rows of `prisma migrate deploy`,
 * so that either may be used. Replicas that start together take turns; each migration is applied whole or not at all.
 * Throws an OperatorError when the database is newer than the code, or when its history differs.
 */
export async function migrate(pool: pg.Pool, migrations: readonly Migration[]): Promise<string[]> {
  const client = await pool.connect();
  try {
    await client.query('SET lock_timeout = 0');
    await client.query('SELECT pg_advisory_lock($1)', [lockNumber]);
    await client.query(historyTable);
    const pending = pendingMigrations(migrations, await readHistory(client));
    for (const migration of pending) await apply(client, migration);
    return pending.map((migration) => migration.name);
  } finally {
    await client.query('SELECT pg_advisory_unlock($1)', [lockNumber]).catch(() => {});
    await client.query('RESET lock_timeout').catch(() => {});
    client.release();
  }
}

// As `prisma migrate deploy` makes it.
const historyTable = `
  CREATE TABLE IF NOT EXISTS _prisma_migrations (
    id                  varchar(36) PRIMARY KEY NOT NULL,
    checksum            varchar(64) NOT NULL,
    finished_at         timestamptz,
    migration_name      varchar(255) NOT NULL,
    logs                text,
    rolled_back_at      timestamptz,
    started_at          timestamptz NOT NULL DEFAULT now(),
    applied_steps_count integer NOT NULL DEFAULT 0
  )`;

async function readHistory(client: pg.PoolClient): Promise<AppliedMigration[]> {
  const history = await client.query<AppliedMigration>(
    `SELECT migration_name, checksum, finished_at IS NOT NULL AS finished
       FROM _prisma_migrations WHERE rolled_back_at IS NULL ORDER BY migration_name`,
  );
  return history.rows;
}

function pendingMigrations(migrations: readonly Migration[], history: readonly AppliedMigration[]): Migration[] {
  const known = new Map(migrations.map((migration) => [migration.name, migration]));
  const applied = new Set<string>();
  for (const row of history) {
    const migration = known.get(row.migration_name);
    if (!row.finished) {
      throw new OperatorError(
        `The database holds the failed migration "${row.migration_name}". Restore a backup, or mend it and mark it with "prisma migrate resolve".`,
      );
    }
    if (migration === undefined) {
      throw new OperatorError(
        `The database is newer than this program: it holds the migration "${row.migration_name}". Start the newer version.`,
      );
    }
    if (migration.checksum !== row.checksum) {
      throw new OperatorError(
        `The migration "${row.migration_name}" differs from the one applied to the database. Restore the file of the release.`,
      );
    }
    applied.add(row.migration_name);
  }
  return migrations.filter((migration) => !applied.has(migration.name));
}

async function apply(client: pg.PoolClient, migration: Migration): Promise<void> {
  try {
    await client.query('BEGIN');
    await client.query(migration.sql);
    await client.query(
      `INSERT INTO _prisma_migrations (id, checksum, migration_name, started_at, finished_at, applied_steps_count)
       VALUES ($1, $2, $3, now(), clock_timestamp(), 1)`,
      [randomUUID(), migration.checksum, migration.name],
    );
    await client.query('COMMIT');
  } catch (error) {
    await client.query('ROLLBACK').catch(() => {});
    const reason = error instanceof Error ? error.message : String(error);
    throw new OperatorError(
      `The migration "${migration.name}" failed and nothing of it was kept: ${reason}. Mend the cause and start again.`,
      { cause: error },
    );
  }
}
