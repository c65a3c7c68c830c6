import { createHash } from 'node:crypto';
import type { Idempotency } from '../db/marina-transaction.ts';
import { Problem } from '../errors.ts';

/** Reads `Idempotency-Key`: 1 to 200 visible ASCII characters, bare or as a quoted string. */
export function parseIdempotencyKey(header: string | undefined): string | null {
  if (header === undefined) return null;
  const key = /^"([^"\\]*)"$/.exec(header)?.[1] ?? header;
  if (/^[\x21-\x7e]{1,200}$/.test(key) && !key.includes('"')) return key;
  throw new Problem('invalid-input', 'The Idempotency-Key is not usable.', {
    errors: [{ in: 'header', pointer: '/idempotency-key', message: 'Send 1 to 200 visible ASCII characters.' }],
  });
}

/** What makes two requests the same: method, path with query, and the validated body. */
export function idempotencyOf(key: string | null, method: string, url: string, body: unknown): Idempotency | null {
  if (key === null) return null;
  const requestHash = createHash('sha256')
    .update(`${method} ${url}\n${JSON.stringify(body) ?? ''}`)
    .digest('hex');
  return { key, requestHash };
}
