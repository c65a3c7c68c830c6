/**
 * The embedded database: its own process, because PostgreSQL as WebAssembly blocks the thread it runs on. Started by
 * embedded.ts with the data folder as its argument. It lives exactly as long as its channel to the service: when the
 * service ends, in whatever way, the channel closes and so does the database.
 */
import { mkdir, rm } from 'node:fs/promises';
import { join } from 'node:path';
import { PGlite } from '@electric-sql/pglite';
import { btree_gist } from '@electric-sql/pglite/contrib/btree_gist';
import { PGLiteSocketServer } from '@electric-sql/pglite-socket';
import { OperatorError } from '../operator-error.ts';
import type { ChildMessage } from './embedded.ts';
import { claimFolder } from './folder-claim.ts';

const service = process.ppid;
const serviceIsGone = () => !process.connected || process.ppid !== service;
let close = async () => {};

// Ctrl-C reaches the whole group: the database must outlive the requests that the service still answers.
for (const signal of ['SIGINT', 'SIGTERM', 'SIGHUP'] as const) process.on(signal, () => {});
process.on('disconnect', async () => {
  // A statement that never ends must not keep the folder; what is committed is safe without a close.
  setTimeout(() => process.exit(1), 5_000).unref();
  await close();
  process.exit(0);
});

const [folder, socketFolder] = process.argv.slice(2);
try {
  if (folder === undefined || socketFolder === undefined) throw new Error('Started without its folders.');
  await serve(folder, socketFolder);
  tell({ ready: true });
} catch (error) {
  if (!(error instanceof OperatorError)) console.error(error);
  const failed = error instanceof Error ? error.message : String(error);
  tell({ failed, known: error instanceof OperatorError }, () => process.disconnect());
}

async function serve(dataFolder: string, sockets: string): Promise<void> {
  process.umask(0o077);
  await mkdir(sockets, { recursive: true, mode: 0o700 });
  const claim = await claimFolder(sockets, serviceIsGone);
  if (claim === null) {
    throw new OperatorError(
      `DATA_DIR: the folder ${dataFolder} is in use by another running service. Stop that one, or set DATA_DIR to another folder.`,
    );
  }
  const socket = join(sockets, '.s.PGSQL.5432');
  await rm(socket, { force: true });
  const db = await PGlite.create({ dataDir: join(dataFolder, 'database'), extensions: { btree_gist } });
  exitOnBrokenEngine(db);
  // One connection is the rule; the second leaves room while a broken one is still being cleared.
  const server = new PGLiteSocketServer({ db, path: socket, maxConnections: 2 });
  await server.start();
  close = async () => {
    await server.stop();
    await db.close();
    await claim.release();
  };
  if (serviceIsGone()) process.exit(0);
}

/** An engine that throws (SQL errors arrive as messages, not as throws) is lost, and the socket's queue would wait for ever. */
function exitOnBrokenEngine(db: PGlite): void {
  const run = db.execProtocolRawStream.bind(db);
  db.execProtocolRawStream = async (...request) => {
    try {
      return await run(...request);
    } catch (error) {
      console.error('The embedded database engine failed.', error);
      process.exit(1);
    }
  };
}

function tell(message: ChildMessage, afterwards: () => void = () => {}): void {
  process.send?.(message, undefined, undefined, afterwards);
}
