import { setTimeout as wait } from 'node:timers/promises';
import { Problem } from '../errors.ts';
import type { Database, Tx } from './client.ts';
import { isRetryable, problemOfDatabaseError } from './database-errors.ts';
import { Prisma } from './generated/client.ts';

/** A key that makes a request safe to send again, with the fingerprint of the request it was first used for. */
export interface Idempotency {
  readonly key: string;
  /** SHA-256 of method, path and body, hex. */
  readonly requestHash: string;
}

export interface MarinaTransactionOptions {
  readonly marinaId: string;
  /** Who changes: the principal's id. */
  readonly actor: string;
  /** What kind of change this is: `stay.assigned`. */
  readonly kind: string;
  /** Time of the change, epoch milliseconds. */
  readonly now: number;
  readonly idempotency?: Idempotency | null | undefined;
}

/** What the body of a marina transaction works with. */
export interface MarinaWrite {
  readonly tx: Tx;
  /** Number of this change in its marina: lock, order and event id. */
  readonly seq: number;
  /** Writes the one change row of this transaction. `null` before: it is new; `null` after: it is gone. Plain JSON. */
  recordChange(before: unknown, after: unknown): Promise<void>;
  /** Every write to the inventory calls this; returns the new revision. */
  bumpInventoryRevision(): Promise<number>;
}

const attempts = 4;
/** How long a key gives its first result again: longer than any device stays without signal. */
const keptMs = 30 * 86_400_000;

/**
 * The one way to write what belongs to a marina. At READ COMMITTED it first raises the marina's `seq`: that is the lock
 * (writes of one marina run one after the other), the order and the event number. `work` must call `recordChange`
 * exactly once. Deferred constraints are checked before the end, so that a double use is told apart from a failure.
 *
 * - Never catch a database error inside `work`: the transaction is lost and would still resolve. Compute alternatives
 *   after this function has thrown.
 * - Inside `work` use `write.tx`, never the database itself: the embedded database has one connection.
 * - `work` may run more than once (deadlock): it must have no effect outside the transaction.
 * - With an idempotency key the result is stored beside the effect, so it must be plain JSON; the same key and request
 *   then gives the stored result without running `work`, for 30 days.
 *
 * Throws a Problem: `not-found` (no such marina), `double-use`, `busy`, `request-running`, `key-reused`.
 *
 * @example
 * const stay = await marinaTransaction(db, { marinaId, actor: principal.id, kind: 'stay.requested', now, idempotency },
 *   async ({ tx, recordChange }) => {
 *     const row = await tx.stay.create({ data });
 *     await recordChange(null, stayDocument(row));
 *     return stayDocument(row);
 *   });
 */
export async function marinaTransaction<Result>(
  db: Database,
  options: MarinaTransactionOptions,
  work: (write: MarinaWrite) => Promise<Result>,
): Promise<Result> {
  for (let attempt = 1; ; attempt++) {
    try {
      return await db.prisma.$transaction((tx) => runOnce(tx, options, work), {
        isolationLevel: Prisma.TransactionIsolationLevel.ReadCommitted,
        // The default of 2 s gives up under a burst of writes; a burst is ordinary, so wait.
        maxWait: 30_000,
        timeout: 40_000,
      });
    } catch (error) {
      if (!isRetryable(error) || attempt === attempts) throw problemOfDatabaseError(error) ?? error;
      await wait(Math.random() * 25 * attempt);
    }
  }
}

async function runOnce<Result>(
  tx: Tx,
  options: MarinaTransactionOptions,
  work: (write: MarinaWrite) => Promise<Result>,
): Promise<Result> {
  const { marinaId, actor, idempotency } = options;
  if (idempotency) {
    const stored = await storedResult<Result>(tx, marinaId, actor, idempotency);
    if (stored !== null) return stored.result;
  }
  const seq = await nextSeq(tx, marinaId);
  let changes = 0;
  const result = await work({
    tx,
    seq,
    recordChange: async (before, after) => {
      changes += 1;
      const at = new Date(options.now);
      await tx.change.create({
        data: { marinaId, seq, kind: options.kind, actor, at, before: json(before), after: json(after) },
      });
    },
    bumpInventoryRevision: async () => {
      const marina = await tx.marina.update({
        where: { id: marinaId },
        data: { inventoryRevision: { increment: 1 } },
        select: { inventoryRevision: true },
      });
      return Number(marina.inventoryRevision);
    },
  });
  if (changes !== 1) throw new Error(`The change "${options.kind}" wrote ${changes} change rows; it must write one.`);
  if (idempotency) await storeResult(tx, options, idempotency, result);
  await tx.$executeRaw`SET CONSTRAINTS ALL IMMEDIATE`;
  return result;
}

async function nextSeq(tx: Tx, marinaId: string): Promise<number> {
  // Triggers read quaywatt.seq: they keep what this change does to each row (`change_row`), for undo.
  const rows = await tx.$queryRaw<{ seq: bigint }[]>`
    UPDATE marina SET seq = seq + 1 WHERE id = ${marinaId}
    RETURNING seq, set_config('quaywatt.seq', seq::text, true)`;
  const row = rows[0];
  if (row === undefined) throw new Problem('not-found', `There is no marina "${marinaId}".`);
  return Number(row.seq);
}

async function storedResult<Result>(
  tx: Tx,
  marinaId: string,
  principal: string,
  { key, requestHash }: Idempotency,
): Promise<{ result: Result } | null> {
  // Held until the end of the transaction: whoever finds it taken meets the first request while it runs.
  const lockName = `${marinaId}\n${principal}\n${key}`;
  const [lock] = await tx.$queryRaw<{ free: boolean }[]>`
    SELECT pg_try_advisory_xact_lock(hashtextextended(${lockName}, 0)) AS free`;
  if (!lock?.free) {
    throw new Problem('request-running', `The request with the Idempotency-Key "${key}" has not ended yet.`, {
      headers: { 'retry-after': '1' },
    });
  }
  const row = await tx.idempotencyKey.findUnique({
    where: { marinaId_principal_key: { marinaId, principal, key } },
    select: { requestHash: true, response: true },
  });
  if (row === null) return null;
  if (row.requestHash !== requestHash) {
    throw new Problem('key-reused', `The Idempotency-Key "${key}" belongs to an earlier, different request.`);
  }
  // The row was written by storeResult for the same request, so it has the shape of this result.
  return { result: row.response as Result };
}

async function storeResult(
  tx: Tx,
  { marinaId, actor, now }: MarinaTransactionOptions,
  { key, requestHash }: Idempotency,
  result: unknown,
): Promise<void> {
  await tx.idempotencyKey.create({
    data: { marinaId, principal: actor, key, requestHash, response: json(result), createdAt: new Date(now) },
  });
  // A few with each new one: the table never grows for long, and no write waits for a great deletion.
  await tx.$executeRaw`DELETE FROM idempotency_key WHERE ctid IN (
    SELECT ctid FROM idempotency_key WHERE marina_id = ${marinaId} AND created_at < ${new Date(now - keptMs)}
    ORDER BY created_at LIMIT 20)`;
}

/** Plain JSON for a jsonb column; absent and null are both SQL's NULL. */
function json(value: unknown): Prisma.InputJsonValue | typeof Prisma.DbNull {
  return value === null || value === undefined ? Prisma.DbNull : (value as Prisma.InputJsonValue);
}
