import { randomUUID } from 'node:crypto';
import { afterEach, expect, test } from 'vitest';
import { type Database, openDatabase } from '../../server/db/client.ts';
import { createServerDatabase, freshFolder, testServerUrl } from '../support/database.ts';
import { createRaceMarina, rowOfSlips } from '../support/row-of-slips.ts';
import { builtService, type ServiceProcess, startService } from '../support/service-process.ts';
import { storedFaults } from '../support/stored-faults.ts';

const kills = 20;
/** Each writes about its own stay and its own two slips, one request after the other. */
const writers = 6;
const marinaId = 'north';

// The database of the run: the embedded one with nothing installed, PostgreSQL where a server is given.
const kinds = [
  testServerUrl === null
    ? { name: 'the embedded database', place: freshFolder }
    : { name: 'PostgreSQL', place: () => createServerDatabase(testServerUrl ?? '') },
];
if (testServerUrl === null) {
  console.log(
    'SIGKILL during writes to PostgreSQL: skipped. Set TEST_DATABASE_URL to one where databases may be created.',
  );
}

const cleanUp: (() => Promise<unknown>)[] = [];
afterEach(async () => {
  for (const step of cleanUp.splice(0).reverse()) await step();
});

/** A write as it was sent, so that it can be sent again. */
interface Write {
  readonly path: string;
  readonly body: string;
  readonly key: string;
}

/** What a stay has, as the service last acknowledged it or the database holds it. */
type Standing = { readonly id: string; readonly berthId: string } | null;

test.each(kinds)(
  `${kills} times SIGKILL during writes to $name: nothing acknowledged lost, nothing half written`,
  async ({ place: makePlace }) => {
    const place = await makePlace();
    cleanUp.push(place.remove);
    const withDatabase = async <T>(work: (db: Database) => Promise<T>): Promise<T> => {
      const db = await openDatabase({
        databaseUrl: place.environment.DATABASE_URL ?? null,
        databasePoolSize: 2,
        dataDir: place.environment.DATA_DIR ?? '',
      });
      return work(db).finally(() => db.close());
    };
    const token = await withDatabase((db) =>
      createRaceMarina(db, marinaId, rowOfSlips({ slips: 2 * writers }), writers),
    );

    const acknowledged: string[] = [];
    let unanswered: Write[] = [];
    let standing = new Map<number, Standing>();
    for (let round = 0; round < kills; round++) {
      const service = await startService({ ...place.environment, RATE_LIMIT_PER_MINUTE: '0' }, builtService);
      cleanUp.push(() => endOf(service));

      // Whether it was written or not before the kill: sent again under its key, it is written once.
      for (const write of unanswered) expect(await send(service, token, write)).toMatchObject({ status: 200 });
      acknowledged.push(...unanswered.map(({ key }) => key));
      standing = await readStanding(service, token);

      const answered = await writeUntilKilled(service, token, standing);
      acknowledged.push(...answered.keys);
      unanswered = answered.unanswered;
      expect((await service.ended).signal).toBe('SIGKILL');

      await withDatabase(async (db) => {
        const keys = await db.pool.query<{ key: string }>('SELECT key FROM idempotency_key');
        const stored = new Set(keys.rows.map(({ key }) => key));
        expect(acknowledged.filter((key) => !stored.has(key))).toEqual([]);
        // Each request is one change and one key, or neither.
        const changes = await db.pool.query("SELECT 1 FROM change WHERE kind ~ '^(stay|assignment)\\.'");
        expect(changes.rowCount).toBe(stored.size);
        expect(await storedFaults(db.pool)).toEqual([]);
        expect(await tableOf(db)).toEqual(await replayed(db));
      });
    }
    expect(acknowledged.length).toBeGreaterThanOrEqual(kills);
  },
);

async function endOf(service: ServiceProcess): Promise<void> {
  if (service.process.exitCode === null && service.process.signalCode === null) await service.end('SIGKILL');
}

/** Keeps every writer writing and kills the service some moments after the first answer. */
async function writeUntilKilled(
  service: ServiceProcess,
  token: string,
  standing: ReadonlyMap<number, Standing>,
): Promise<{ keys: string[]; unanswered: Write[] }> {
  const keys: string[] = [];
  const unanswered: Write[] = [];
  let firstAnswer = true;
  const one = async (n: number) => {
    let now = standing.get(n) ?? null;
    for (;;) {
      const write = nextWrite(n, now);
      const answer = await send(service, token, write);
      if (answer === null) return void unanswered.push(write);
      expect(answer).toMatchObject({ status: 200 });
      keys.push(write.key);
      if (firstAnswer) setTimeout(() => service.process.kill('SIGKILL'), Math.random() * 250);
      firstAnswer = false;
      now = write.path.endsWith('/release') ? null : answer.body;
    }
  };
  await Promise.all(Array.from({ length: writers }, (_, i) => one(i + 1)));
  return { keys, unanswered };
}

/** Assign, move to the writer's other slip, release, and again. */
function nextWrite(n: number, now: Standing): Write {
  const [first, second] = [`S${2 * n - 1}`, `S${2 * n}`];
  const key = randomUUID();
  if (now === null) return { path: `stays/stay-${n}/assign`, body: JSON.stringify({ berthId: first }), key };
  if (now.berthId === first) return { path: `stays/stay-${n}/move`, body: JSON.stringify({ berthId: second }), key };
  return { path: `assignments/${now.id}/release`, body: '{}', key };
}

/** Null where no whole answer came. */
async function send(service: ServiceProcess, token: string, { path, body, key }: Write) {
  try {
    const response = await fetch(`${service.address}/v1/marinas/${marinaId}/${path}`, {
      method: 'POST',
      headers: { authorization: `Bearer ${token}`, 'content-type': 'application/json', 'idempotency-key': key },
      body,
    });
    return { status: response.status, body: JSON.parse(await response.text()) };
  } catch {
    return null;
  }
}

async function readStanding(service: ServiceProcess, token: string): Promise<Map<number, Standing>> {
  const response = await fetch(`${service.address}/v1/marinas/${marinaId}/assignments?limit=200`, {
    headers: { authorization: `Bearer ${token}` },
  });
  expect(response.status).toBe(200);
  const { items } = JSON.parse(await response.text());
  return new Map(items.map((item: { stayId: string }) => [Number(item.stayId.replace('stay-', '')), item]));
}

async function tableOf(db: Database): Promise<[string, string][]> {
  const { rows } = await db.pool.query<{ id: string; berth_id: string }>(
    'SELECT id, berth_id FROM assignment ORDER BY id',
  );
  return rows.map(({ id, berth_id }) => [id, berth_id]);
}

/** What the changes, told one after the other, leave assigned: every effect has its change and every change its effect. */
async function replayed(db: Database): Promise<[string, string][]> {
  const { rows } = await db.pool.query(
    "SELECT kind, before, after FROM change WHERE kind ~ '^(stay|assignment)\\.' ORDER BY seq",
  );
  const standing = new Map<string, string>();
  for (const { kind, before, after } of rows) {
    if (kind === 'assignment.released') standing.delete(before.id);
    else {
      for (const { id } of before.assignments) standing.delete(id);
      standing.set(after.assignment.id, after.assignment.berthId);
    }
  }
  return [...standing].sort(([a], [b]) => (a < b ? -1 : 1));
}
