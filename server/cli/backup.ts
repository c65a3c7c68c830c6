import { once } from 'node:events';
import { createWriteStream, existsSync, type WriteStream } from 'node:fs';
import { rename, rm } from 'node:fs/promises';
import type pg from 'pg';
import type { Database } from '../db/client.ts';
import { OperatorError } from '../operator-error.ts';
import { appliedMigrations, type BackupEnd, type BackupHeader, rowLine, tablesInOrder } from './backup-format.ts';

const batch = 1_000;

/**
 * Writes all that is stored to `path`, as it is at one moment, and returns the number of rows. The file appears only
 * when it is complete. It holds names, telephone numbers and the hashes of tokens: only its owner may read it.
 */
export async function backUp(db: Database, path: string, now: number): Promise<number> {
  if (existsSync(path)) throw new OperatorError(`The file ${path} exists already. Name a new file.`);
  const unfinished = `${path}.part`;
  const file = createWriteStream(unfinished, { mode: 0o600 });
  const client = await db.pool.connect();
  try {
    await once(file, 'open');
    await client.query('BEGIN ISOLATION LEVEL REPEATABLE READ READ ONLY');
    const header: BackupHeader = {
      quaywattBackup: 1,
      madeAt: new Date(now).toISOString(),
      migrations: await appliedMigrations(client),
    };
    await write(file, `${JSON.stringify(header)}\n`);
    let rows = 0;
    for (const table of await tablesInOrder(client)) rows += await writeTable(client, file, table);
    const end: BackupEnd = { rows };
    await write(file, `${JSON.stringify(end)}\n`);
    file.end();
    await once(file, 'close');
    await rename(unfinished, path);
    return rows;
  } catch (error) {
    file.destroy();
    await rm(unfinished, { force: true });
    throw fileFault(error, path);
  } finally {
    await client.query('ROLLBACK').catch(() => {});
    client.release();
  }
}

async function writeTable(client: pg.ClientBase, file: WriteStream, table: string): Promise<number> {
  // A cursor: a season of stays does not have to fit in memory.
  await client.query(`DECLARE rows NO SCROLL CURSOR FOR SELECT row_to_json(t)::text AS row FROM ${table} t`);
  let written = 0;
  for (;;) {
    const { rows } = await client.query<{ row: string }>(`FETCH ${batch} FROM rows`);
    if (rows.length === 0) break;
    await write(file, rows.map(({ row }) => rowLine(table, row)).join(''));
    written += rows.length;
  }
  await client.query('CLOSE rows');
  return written;
}

async function write(file: WriteStream, text: string): Promise<void> {
  if (!file.write(text)) await once(file, 'drain');
}

function fileFault(error: unknown, path: string): unknown {
  const code = error instanceof Error && 'code' in error ? String(error.code) : '';
  if (!/^E[A-Z]+$/.test(code)) return error;
  return new OperatorError(
    `The file ${path} cannot be written (${code}). Name a file in a folder that this user may write.`,
  );
}
