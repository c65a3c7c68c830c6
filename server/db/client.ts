import { PrismaPg } from '@prisma/adapter-pg';
import pg from 'pg';
import type { Config } from '../config.ts';
import { OperatorError } from '../operator-error.ts';
import { startEmbedded } from './embedded.ts';
import { type Prisma, PrismaClient } from './generated/client.ts';
import { migrate, readMigrations } from './migrate.ts';

export interface Database {
  readonly prisma: PrismaClient;
  /** The same connections without the object mapper, for hot reads. Do not use inside a transaction. */
  readonly pool: pg.Pool;
  readonly kind: 'embedded' | 'postgresql';
  /** Settles only when the embedded database ends without being asked; the service cannot go on. */
  readonly lost: Promise<void>;
  close(): Promise<void>;
}

/** What a function that may run inside or outside a transaction takes. */
export type Tx = Prisma.TransactionClient;

type Settings = Pick<Config, 'databaseUrl' | 'databasePoolSize' | 'dataDir'>;

const oldestServer = 150_000;

/** Opens the configured database and brings it up to date. Throws an OperatorError when it cannot be used. */
export async function openDatabase(settings: Settings): Promise<Database> {
  const opened = settings.databaseUrl === null ? await openEmbedded(settings.dataDir) : openServer(settings);
  const { pool, kind, ended, stop } = opened;
  // Idle connections that break are replaced by the pool; without a listener they would end the process.
  pool.on('error', () => {});
  const prisma = new PrismaClient({ adapter: new PrismaPg(pool) });
  let closing = false;
  const close = async () => {
    closing = true;
    await prisma.$disconnect();
    await pool.end();
    await stop();
  };
  try {
    if (kind === 'postgresql') await requireServer(pool);
    await migrate(pool, await readMigrations());
  } catch (error) {
    await close();
    throw error;
  }
  const lost = new Promise<void>((resolve) => {
    ended.then(() => {
      if (!closing) resolve();
    });
  });
  return { prisma, pool, kind, lost, close };
}

async function openEmbedded(dataDir: string) {
  const embedded = await startEmbedded(dataDir);
  // One connection, kept: the engine behind the socket has one session.
  const pool = new pg.Pool({
    host: embedded.socketFolder,
    user: 'postgres',
    database: 'postgres',
    max: 1,
    idleTimeoutMillis: 0,
  });
  return { pool, kind: 'embedded' as const, ended: embedded.ended, stop: embedded.stop };
}

function openServer(settings: Settings) {
  const pool = new pg.Pool({
    connectionString: settings.databaseUrl ?? '',
    max: settings.databasePoolSize,
    connectionTimeoutMillis: 30_000,
    // A lock that somebody forgot must not hold a request for ever.
    lock_timeout: 30_000,
    application_name: 'quaywatt',
  });
  return { pool, kind: 'postgresql' as const, ended: new Promise<void>(() => {}), stop: async () => {} };
}

async function requireServer(pool: pg.Pool): Promise<void> {
  let version: number;
  try {
    const answer = await pool.query<{ version: number }>(
      "SELECT current_setting('server_version_num')::int AS version",
    );
    version = answer.rows[0]?.version ?? 0;
  } catch (error) {
    const code = error instanceof Error && 'code' in error ? String(error.code) : 'no answer';
    throw new OperatorError(`DATABASE_URL: the database cannot be reached (${code}). ${connectionFix(code)}`, {
      cause: error,
    });
  }
  if (version < oldestServer) {
    throw new OperatorError(`DATABASE_URL: PostgreSQL ${Math.floor(version / 10_000)} is too old. Use 15 or later.`);
  }
}

function connectionFix(code: string): string {
  if (code === '28P01' || code === '28000') return 'Correct the user and the password.';
  if (code === '3D000') return 'Create the database, or correct its name.';
  return 'Start the server, or correct host and port.';
}
