import { randomBytes } from 'node:crypto';
import { readdir, rename, rm } from 'node:fs/promises';
import { connect, createServer, type Server } from 'node:net';
import { join } from 'node:path';
import { setTimeout as wait } from 'node:timers/promises';

/**
 * Exclusive use of a folder, for as long as the process lives and not a moment longer.
 *
 * Each candidate listens on a socket of its own, makes it visible by renaming it (so a visible claim always listens
 * while its process lives), and then calls every other claim. Whoever published last sees the other: two can withdraw,
 * two can never both stay. The kernel closes a dead process's socket, so a refused call proves a claim dead: nothing
 * depends on process numbers or clocks.
 */
export interface FolderClaim {
  release(): Promise<void>;
}

/** `settling`: a candidate that may withdraw. `held`: in use. `leaving`: its service is gone, it is closing. */
export type ClaimState = 'settling' | 'held' | 'leaving';

/**
 * Claims `folder`, waiting up to `patienceMs` for a claim that settles or leaves. Resolves to null when the folder is
 * held. `isLeaving` says whether this process has lost its service, for those who ask after the claim is held.
 */
export async function claimFolder(
  folder: string,
  isLeaving: () => boolean,
  patienceMs = 15_000,
): Promise<FolderClaim | null> {
  const deadline = Date.now() + patienceMs;
  for (;;) {
    const own = await publish(folder, isLeaving);
    const others = await callOthers(folder, own.name);
    if (others.length === 0) {
      own.hold();
      return own;
    }
    await own.release();
    if (others.includes('held') || Date.now() > deadline) return null;
    // Two that settle at once must not meet again at once.
    await wait(20 + Math.random() * 180);
  }
}

async function publish(folder: string, isLeaving: () => boolean) {
  const name = `${randomBytes(4).toString('hex')}.claim`;
  const hidden = join(folder, `${name}.new`);
  let state: ClaimState = 'settling';
  const server = createServer((socket) => {
    socket.on('error', () => socket.destroy());
    socket.end(state === 'held' && isLeaving() ? 'leaving' : state);
  });
  await listen(server, hidden);
  await rename(hidden, join(folder, name));
  return {
    name,
    hold: () => {
      state = 'held';
    },
    release: async () => {
      await rm(join(folder, name), { force: true });
      await new Promise((resolve) => server.close(resolve));
    },
  };
}

/** The states of every other living claim. Claims of dead processes are cleared away. */
async function callOthers(folder: string, own: string): Promise<ClaimState[]> {
  const claims = (await readdir(folder)).filter((name) => name.endsWith('.claim') && name !== own);
  const states = await Promise.all(claims.map((name) => call(join(folder, name))));
  return states.filter((state) => state !== null);
}

async function call(path: string): Promise<ClaimState | null> {
  const answer = await new Promise<string>((resolve) => {
    let text = '';
    const socket = connect(path);
    // A process busy in a long query is alive but silent.
    socket.setTimeout(1_000, () => socket.destroy());
    socket.on('data', (data) => {
      text += data.toString();
    });
    socket.on('error', (error: NodeJS.ErrnoException) => resolve(error.code ?? 'error'));
    socket.on('close', () => resolve(text));
  });
  if (answer === 'ENOENT') return null;
  if (answer === 'ECONNREFUSED') {
    await rm(path, { force: true });
    return null;
  }
  return answer === 'held' || answer === 'leaving' ? answer : 'settling';
}

async function listen(server: Server, path: string): Promise<void> {
  await new Promise<void>((resolve, reject) => {
    server.once('error', reject);
    server.listen(path, resolve);
  });
}
