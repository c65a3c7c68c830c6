import { type ChildProcess, fork } from 'node:child_process';
import { chmod, mkdir } from 'node:fs/promises';
import { createRequire } from 'node:module';
import { join } from 'node:path';
import { fileURLToPath, pathToFileURL } from 'node:url';
import { OperatorError } from '../operator-error.ts';

/** What the child says once: it serves, or why it does not. */
export type ChildMessage = { readonly ready: true } | { readonly failed: string; readonly known: boolean };

export interface EmbeddedDatabase {
  /** Folder of the Unix socket: the `host` of a PostgreSQL connection. */
  readonly socketFolder: string;
  /** Settles when the child has ended, asked to or not. */
  readonly ended: Promise<void>;
  stop(): Promise<void>;
}

// Linux allows 107 bytes in a socket's path, macOS 103.
const longestSocketPath = 103;

/**
 * Starts the embedded database of a data folder in a child process and resolves once it takes connections. Rejects with
 * an OperatorError when the folder cannot be used or another service is using it.
 */
export async function startEmbedded(dataDir: string): Promise<EmbeddedDatabase> {
  const socketFolder = join(dataDir, 'run');
  if (Buffer.byteLength(join(socketFolder, '.s.PGSQL.5432')) > longestSocketPath) {
    throw new OperatorError(`DATA_DIR: the path ${dataDir} is too long for a socket inside it. Choose a shorter path.`);
  }
  await makePrivate(dataDir);
  const child = forkChild(dataDir, socketFolder);
  const ended = new Promise<void>((resolve) => child.once('exit', () => resolve()));
  await firstMessage(child);
  return {
    socketFolder,
    ended,
    stop: async () => {
      if (child.connected) child.disconnect();
      // Committed rows survive this; a statement without end must not keep the service.
      const impatience = setTimeout(() => child.kill('SIGKILL'), 10_000);
      await ended;
      clearTimeout(impatience);
    },
  };
}

async function makePrivate(folder: string): Promise<void> {
  try {
    await mkdir(folder, { recursive: true, mode: 0o700 });
    await chmod(folder, 0o700);
  } catch (error) {
    const reason = error instanceof Error && 'code' in error ? String(error.code) : 'unknown';
    throw new OperatorError(
      `DATA_DIR: the folder ${folder} cannot be made private (${reason}). Choose a folder that this user owns.`,
    );
  }
}

function forkChild(dataDir: string, socketFolder: string): ChildProcess {
  const extension = import.meta.url.endsWith('.ts') ? 'ts' : 'js';
  const program = fileURLToPath(new URL(`embedded-child.${extension}`, import.meta.url));
  // From the sources the child needs the TypeScript loader, whoever started the parent.
  const execArgv =
    extension === 'ts'
      ? ['--import', pathToFileURL(createRequire(import.meta.url).resolve('tsx')).href]
      : process.execArgv;
  return fork(program, [dataDir, socketFolder], { execArgv, stdio: ['ignore', 'ignore', 'inherit', 'ipc'] });
}

async function firstMessage(child: ChildProcess): Promise<void> {
  await new Promise<void>((resolve, reject) => {
    child.once('message', (message: ChildMessage) => {
      if ('ready' in message) resolve();
      else if (message.known) reject(new OperatorError(message.failed));
      else reject(new Error(`The embedded database did not start: ${message.failed}`));
    });
    child.once('error', reject);
    child.once('exit', (code, signal) =>
      reject(new Error(`The embedded database ended while starting (${signal ?? `code ${code}`}).`)),
    );
  });
}
