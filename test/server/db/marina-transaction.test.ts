import { afterAll, beforeAll, beforeEach, describe, expect, test } from 'vitest';
import {
  type Idempotency,
  type MarinaTransactionOptions,
  type MarinaWrite,
  marinaTransaction,
} from '../../../server/db/marina-transaction.ts';
import { Problem } from '../../../server/errors.ts';
import { createMarina } from '../../../server/marinas/create-marina.ts';
import { openTestDatabase, type TestDatabase, testServerUrl } from '../../support/database.ts';

let database: TestDatabase;
let marinaId: string;
let marinas = 0;
const now = Date.UTC(2030, 5, 10);

beforeAll(async () => {
  database = await openTestDatabase();
});
afterAll(() => database.close());
beforeEach(async () => {
  marinaId = `marina-${++marinas}`;
  await createMarina(database.db, { id: marinaId, name: 'North', timeZone: 'UTC', roles: [] }, now);
  const tx = database.db.prisma;
  await tx.dock.create({ data: { marinaId, id: 'a', position: 0, label: 'A', kind: 'fixed' } });
  await tx.spaceUnit.create({ data: { marinaId, id: 'a1', position: 0, label: 'A1', dockId: 'a', kind: 'slip' } });
});

function write<Result>(
  work: (write: MarinaWrite) => Promise<Result>,
  options: Partial<MarinaTransactionOptions> = {},
): Promise<Result> {
  return marinaTransaction(database.db, { marinaId, actor: 'token:test', kind: 'test', now, ...options }, work);
}

const record = async ({ recordChange, seq }: MarinaWrite) => {
  await recordChange(null, { seq });
  return { seq };
};

async function problemOf(promise: Promise<unknown>): Promise<Problem> {
  const error = await promise.then(
    () => null,
    (reason: unknown) => reason,
  );
  if (error instanceof Problem) return error;
  throw error ?? new Error('It did not fail.');
}

/** Takes slip A1 for an hour as out of service: a row under the exclusion constraint. */
async function takeSlip({ tx, recordChange }: MarinaWrite, name: string): Promise<void> {
  const period = { fromAt: new Date(now), untilAt: new Date(now + 3_600_000) };
  await tx.outOfService.create({ data: { marinaId, id: name, unitId: 'a1', reason: 'Test', ...period } });
  await tx.spaceUse.create({
    data: { marinaId, unitId: 'a1', fromM: 0, untilM: 1, outOfServiceId: name, ...period },
  });
  await recordChange(null, { name });
}

test('numbers changes without a gap, records each, and keeps nothing of a failed one', async () => {
  expect(await write(record)).toEqual({ seq: 2 });
  await expect(
    write(async (it) => {
      await record(it);
      throw new Error('no');
    }),
  ).rejects.toThrow('no');
  expect(await write(record)).toEqual({ seq: 3 });
  const changes = await database.db.prisma.change.findMany({ where: { marinaId }, orderBy: { seq: 'asc' } });
  expect(changes.map(({ seq, actor, kind, after }) => [Number(seq), actor, kind, after]).slice(1)).toEqual([
    [2, 'token:test', 'test', { seq: 2 }],
    [3, 'token:test', 'test', { seq: 3 }],
  ]);
});

test('insists on exactly one change', async () => {
  await expect(write(async () => null)).rejects.toThrow('wrote 0 change rows');
  const twice = write(async ({ recordChange }) => {
    await recordChange(null, 1);
    await recordChange(null, 2);
  });
  await expect(twice).rejects.toThrow();
  expect(await write(record)).toEqual({ seq: 2 });
});

test('an unknown marina is not found', async () => {
  expect((await problemOf(write(record, { marinaId: 'nowhere' }))).problem).toBe('not-found');
});

test('raises the inventory revision', async () => {
  const bump = (it: MarinaWrite) => record(it).then(() => it.bumpInventoryRevision());
  expect(await write(bump)).toBe(1);
  expect(await write(bump)).toBe(2);
});

test('a double use is a 409 in our words, and nothing of it stays', async () => {
  await write((it) => takeSlip(it, 'first'));
  const problem = await problemOf(write((it) => takeSlip(it, 'second')));
  expect(problem).toMatchObject({ problem: 'double-use', status: 409 });
  expect(problem.message).toBe('The berth space is taken by somebody else for part of that period.');
  expect(await database.db.prisma.outOfService.count({ where: { marinaId } })).toBe(1);
  expect(await write(record)).toEqual({ seq: 3 });
});

test('of many that race for one slip exactly one has it, and no number is lost', async () => {
  const racers = Array.from({ length: 30 }, (_, n) => write((it) => takeSlip(it, `racer-${n}`)));
  const results = await Promise.allSettled(racers);
  expect(results.filter(({ status }) => status === 'fulfilled')).toHaveLength(1);
  for (const result of results) {
    if (result.status === 'rejected') expect(result.reason).toMatchObject({ problem: 'double-use' });
  }
  expect(await database.db.prisma.spaceUse.count({ where: { marinaId } })).toBe(1);
  const { seq } = await database.db.prisma.marina.findUniqueOrThrow({ where: { id: marinaId } });
  expect(Number(seq)).toBe(2);
});

test('what nobody foresaw passes on unchanged, without becoming a client error', async () => {
  const broken = write(async ({ tx }) => tx.$queryRaw`SELECT nothing FROM nowhere`);
  await expect(broken).rejects.not.toBeInstanceOf(Problem);
});

test.runIf(testServerUrl !== null)(
  'a deadlock is run again (one connection has none: needs TEST_DATABASE_URL)',
  async () => {
    await createMarina(database.db, { id: `${marinaId}-x`, name: 'X', timeZone: 'UTC', roles: [] }, now);
    // Two marinas, each writing to the other's row: the locks cross.
    const crossing = (from: string, to: string) =>
      write(
        async (it) => {
          await new Promise((resolve) => setTimeout(resolve, 100));
          await it.tx.$executeRaw`UPDATE marina SET name = name || '!' WHERE id = ${to}`;
          return record(it);
        },
        { marinaId: from },
      );
    await Promise.all([crossing(marinaId, `${marinaId}-x`), crossing(`${marinaId}-x`, marinaId)]);
    const rows = await database.db.prisma.marina.findMany({ where: { id: { startsWith: marinaId } } });
    expect(rows.map(({ name }) => name).sort()).toEqual(['North!', 'X!']);
  },
);

describe('an idempotency key', () => {
  const idempotency: Idempotency = { key: 'k1', requestHash: 'hash-1' };

  test('gives the first result again without a second effect', async () => {
    const first = await write(record, { idempotency });
    const again = await write(record, { idempotency });
    expect(again).toEqual(first);
    expect(await database.db.prisma.change.count({ where: { marinaId } })).toBe(2);
  });

  test('is refused for another request', async () => {
    await write(record, { idempotency });
    const other = { ...idempotency, requestHash: 'hash-2' };
    expect(await problemOf(write(record, { idempotency: other }))).toMatchObject({
      problem: 'key-reused',
      status: 422,
    });
  });

  test('belongs to one principal', async () => {
    await write(record, { idempotency });
    expect(await write(record, { idempotency, actor: 'token:other' })).toEqual({ seq: 3 });
  });

  test('is not used up by a request that failed', async () => {
    const fail = write(async () => Promise.reject(new Error('no')), { idempotency });
    await expect(fail).rejects.toThrow('no');
    expect(await write(record, { idempotency })).toEqual({ seq: 2 });
  });

  test('is deleted after 30 days by the writes that come then, a few at a time', async () => {
    const day = 86_400_000;
    for (let i = 0; i < 25; i++) await write(record, { idempotency: { ...idempotency, key: `old-${i}` } });
    const keys = async () => {
      const rows = await database.db.prisma.idempotencyKey.findMany({ where: { marinaId }, select: { key: true } });
      return rows.map(({ key }) => key);
    };
    const later = (key: string, days: number) =>
      write(record, { now: now + days * day, idempotency: { ...idempotency, key } });
    await later('young', 29);
    expect(await keys()).toHaveLength(26);
    await later('first', 31);
    expect(await keys()).toHaveLength(7);
    await later('second', 31);
    expect((await keys()).sort()).toEqual(['first', 'second', 'young']);
  });

  test('of many at once has one effect: the others get its result or are told to wait', async () => {
    const results = await Promise.allSettled(Array.from({ length: 20 }, () => write(record, { idempotency })));
    for (const result of results) {
      if (result.status === 'fulfilled') expect(result.value).toEqual({ seq: 2 });
      else expect(result.reason).toMatchObject({ problem: 'request-running', status: 409 });
    }
    expect(await database.db.prisma.change.count({ where: { marinaId } })).toBe(2);
  });
});

test('a burst of writes beyond the connections is served, and the connections are free afterwards', async () => {
  await Promise.all(Array.from({ length: 60 }, () => write(record)));
  expect(await write(record)).toEqual({ seq: 62 });
  expect(database.db.pool.waitingCount).toBe(0);
});
