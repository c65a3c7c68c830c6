import { createHash, randomBytes } from 'node:crypto';
import { cp, mkdir, mkdtemp, readFile, rename, rm, stat } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import pg from 'pg';
import { type Database, openDatabase } from '../../server/db/client.ts';
import { readMigrations } from '../../server/db/migrate.ts';
import { projectRoot } from '../../server/project-root.ts';

/** A fresh, migrated database of the test's own; `close` also removes it. */
export interface TestDatabase {
  readonly db: Database;
  /** How a service process reaches the same database; only one service at a time when it is embedded. */
  readonly environment: Readonly<Record<string, string>>;
  close(): Promise<void>;
}

/** With TEST_DATABASE_URL (a PostgreSQL where databases may be created): a database there. Else: an embedded one. */
export const testServerUrl = process.env.TEST_DATABASE_URL ?? null;

export async function openTestDatabase(): Promise<TestDatabase> {
  const place = testServerUrl === null ? await freshFolder() : await createServerDatabase(testServerUrl);
  const db = await openDatabase({
    databaseUrl: place.environment.DATABASE_URL ?? null,
    databasePoolSize: 10,
    dataDir: place.environment.DATA_DIR ?? '',
  });
  return {
    db,
    environment: place.environment,
    close: async () => {
      await db.close();
      await place.remove();
    },
  };
}

interface Place {
  readonly environment: Readonly<Record<string, string>>;
  remove(): Promise<void>;
}

/** A new database on a PostgreSQL server, without migrations. */
export async function createServerDatabase(serverUrl: string): Promise<Place> {
  const name = `${process.env.TEST_DATABASE_PREFIX ?? 'quaywatt_test_'}${randomBytes(6).toString('hex')}`;
  await onServer(serverUrl, `CREATE DATABASE ${name}`);
  const url = new URL(serverUrl);
  url.pathname = `/${name}`;
  return {
    environment: { DATABASE_URL: url.href },
    remove: () => onServer(serverUrl, `DROP DATABASE IF EXISTS ${name} WITH (FORCE)`),
  };
}

async function onServer(url: string, sql: string): Promise<void> {
  const client = new pg.Client(url);
  await client.connect();
  try {
    await client.query(sql);
  } finally {
    await client.end();
  }
}

/** A data folder of its own with the migrations applied: a copy of a template, because making one takes seconds. */
export async function freshFolder(): Promise<Place & { readonly folder: string }> {
  const folder = await emptyFolder();
  await cp(join(await template(), 'database'), join(folder, 'database'), { recursive: true });
  return { folder, environment: { DATA_DIR: folder }, remove: () => rm(folder, { recursive: true, force: true }) };
}

export function emptyFolder(): Promise<string> {
  return mkdtemp(join(tmpdir(), 'quaywatt-'));
}

/** The template's name is its contents: other migrations or another engine make another one. */
async function template(): Promise<string> {
  const contents = createHash('sha256');
  for (const migration of await readMigrations()) contents.update(migration.checksum);
  contents.update(await readFile(join(projectRoot, 'node_modules/@electric-sql/pglite/package.json')));
  const cache = join(projectRoot, 'node_modules/.cache/quaywatt');
  const ready = join(cache, contents.digest('hex').slice(0, 16));
  if (await exists(ready)) return ready;
  // Built aside and renamed: test files that start together may each build one, and one of them stays.
  const building = await emptyFolder();
  const db = await openDatabase({ databaseUrl: null, databasePoolSize: 1, dataDir: building });
  await db.close();
  await mkdir(cache, { recursive: true });
  const aside = `${ready}.${randomBytes(4).toString('hex')}`;
  await cp(join(building, 'database'), join(aside, 'database'), { recursive: true });
  await rm(building, { recursive: true });
  await rename(aside, ready).catch(() => rm(aside, { recursive: true }));
  return ready;
}

async function exists(path: string): Promise<boolean> {
  return stat(path).then(
    () => true,
    () => false,
  );
}
