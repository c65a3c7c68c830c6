import { open } from 'node:fs/promises';
import type pg from 'pg';
import { z } from 'zod';
import type { Database } from '../db/client.ts';
import { OperatorError } from '../operator-error.ts';
import { appliedMigrations, readRowLine, tablesInOrder } from './backup-format.ts';

const headerSchema = z.object({ quaywattBackup: z.literal(1), migrations: z.array(z.string()) });
const endSchema = z.strictObject({ rows: z.int() });
const batch = 500;

/**
 * Reads a backup into a database that holds nothing yet, all or nothing, and returns the number of rows. Throws an
 * OperatorError when the database is not empty, or the file is damaged, cut short or of another version.
 */
export async function restore(db: Database, path: string): Promise<number> {
  const client = await db.pool.connect();
  try {
    await client.query('BEGIN');
    await client.query('SET CONSTRAINTS ALL DEFERRED');
    const tables = await tablesInOrder(client);
    await requireEmpty(client, tables);
    const rows = await readFile(client, path, new Set(tables));
    for (const table of tables) await advanceSequences(client, table);
    await client.query('COMMIT');
    return rows;
  } catch (error) {
    await client.query('ROLLBACK').catch(() => {});
    throw restoreFault(error, path);
  } finally {
    client.release();
  }
}

async function requireEmpty(client: pg.ClientBase, tables: readonly string[]): Promise<void> {
  for (const table of tables) {
    const { rowCount } = await client.query(`SELECT 1 FROM ${table} LIMIT 1`);
    if (rowCount !== 0) {
      throw new OperatorError(
        `The database is not empty: the table "${table}" holds rows. Restore into a new database or data folder.`,
      );
    }
  }
}

async function readFile(client: pg.ClientBase, path: string, tables: ReadonlySet<string>): Promise<number> {
  let line = 0;
  let rows = 0;
  let end: number | null = null;
  let pending: { table: string; rows: string[] } = { table: '', rows: [] };
  const flush = async () => {
    if (pending.rows.length > 0) await insert(client, pending.table, pending.rows);
    pending = { table: pending.table, rows: [] };
  };
  // Closes the file at its end, or when the loop is left.
  for await (const text of (await open(path)).readLines()) {
    line += 1;
    if (line === 1) {
      await requireSameVersion(client, text, path);
      continue;
    }
    const row = readRowLine(text);
    if (row === null) {
      end = readEnd(text, path, line);
      continue;
    }
    if (!tables.has(row.table)) throw damaged(path, line, `there is no table "${row.table}"`);
    if (row.table !== pending.table || pending.rows.length === batch) {
      await flush();
      pending.table = row.table;
    }
    pending.rows.push(row.row);
    rows += 1;
  }
  await flush();
  if (end !== rows) throw damaged(path, line, end === null ? 'it was cut short' : `it should hold ${end} rows`);
  return rows;
}

async function insert(client: pg.ClientBase, table: string, rows: readonly string[]): Promise<void> {
  // The names come from the database's own list of tables.
  await client.query(`INSERT INTO ${table} SELECT * FROM json_populate_recordset(NULL::${table}, $1)`, [
    `[${rows.join(',')}]`,
  ]);
}

/** Numbers that the database gives out go on after those restored. */
async function advanceSequences(client: pg.ClientBase, table: string): Promise<void> {
  const { rows } = await client.query<{ name: string; sequence: string }>(
    `SELECT column_name AS name, pg_get_serial_sequence($1, column_name) AS sequence FROM information_schema.columns
      WHERE table_schema = current_schema() AND table_name = $1 AND is_identity = 'YES'`,
    [table],
  );
  for (const { name, sequence } of rows) {
    await client.query(`SELECT setval($1, coalesce((SELECT max(${name}) FROM ${table}), 0) + 1, false)`, [sequence]);
  }
}

async function requireSameVersion(client: pg.ClientBase, text: string, path: string): Promise<void> {
  const header = headerSchema.safeParse(parseJson(text));
  if (!header.success) throw new OperatorError(`The file ${path} is no backup of this service. Name another file.`);
  const present = await appliedMigrations(client);
  const differing =
    header.data.migrations.find((name) => !present.includes(name)) ??
    present.find((name) => !header.data.migrations.includes(name));
  if (differing !== undefined) {
    throw new OperatorError(
      `The file ${path} was made by another version (migration "${differing}"). Restore it with that version, then start this one.`,
    );
  }
}

function readEnd(text: string, path: string, line: number): number {
  const end = endSchema.safeParse(parseJson(text));
  if (!end.success) throw damaged(path, line, 'it is no row');
  return end.data.rows;
}

function damaged(path: string, line: number, why: string): OperatorError {
  return new OperatorError(
    `The file ${path} is damaged at line ${line}: ${why}. Nothing was restored; use another backup.`,
  );
}

function restoreFault(error: unknown, path: string): unknown {
  const code = error instanceof Error && 'code' in error ? String(error.code) : '';
  if (/^E[A-Z]+$/.test(code))
    return new OperatorError(`The file ${path} cannot be read (${code}). Name a backup file.`);
  if (/^(22|23)/.test(code)) {
    return new OperatorError(
      `The file ${path} is damaged: a row contradicts the rules of its table (${code}). Nothing was restored.`,
    );
  }
  return error;
}

function parseJson(text: string): unknown {
  try {
    return JSON.parse(text);
  } catch {
    return null;
  }
}
