import type { Readable } from 'node:stream';
import type { Tx } from '../db/client.ts';
import { type Idempotency, marinaTransaction } from '../db/marina-transaction.ts';
import { plainJson } from '../db/plain-json.ts';
import { Problem } from '../errors.ts';
import type { Principal } from '../http/access.ts';
import type { Services } from '../services.ts';
import { enterCall } from '../stays/record-call.ts';
import { type LineFault, readBookingLines } from './booking-lines.ts';

interface ImportBookings {
  readonly principal: Principal;
  readonly idempotency: Idempotency | null;
  readonly now: number;
  readonly text: string;
  /** Tells what would be done and changes nothing. */
  readonly dryRun: boolean;
}

export interface ImportedBookings {
  readonly lines: number;
  readonly stayIds: readonly string[];
  readonly faults: readonly LineFault[];
}

const mostLines = 2_000;

/**
 * Enters a file of bookings as requests: all of them or, where any line is faulty, none. Throws a Problem:
 * `faulty-document` with every fault by its line.
 */
export async function importBookings(
  services: Services,
  { principal, idempotency, now, text, dryRun }: ImportBookings,
): Promise<ImportedBookings> {
  const { marinaId, id: actor } = principal;
  if (dryRun) {
    const { calls, faults } = await readLines(services, services.db.prisma, marinaId, text, now);
    return { lines: calls.length, stayIds: [], faults };
  }
  const options = { marinaId, actor, kind: 'bookings.imported', now, idempotency };
  return marinaTransaction(services.db, options, async ({ tx, recordChange }) => {
    // Read in here: a file sent again with its key answers as before, also when its days have passed meanwhile.
    const { index, calls, faults } = await readLines(services, tx, marinaId, text, now);
    requireSound(faults);
    const stayIds: string[] = [];
    for (const call of calls) {
      const { stay } = await enterCall(tx, marinaId, index.inventory, { call, turnedAway: null, now });
      stayIds.push(stay.id);
    }
    await recordChange(null, plainJson({ stayIds }));
    return { lines: calls.length, stayIds, faults: [] };
  });
}

async function readLines({ inventories }: Services, tx: Tx, marinaId: string, text: string, now: number) {
  const { index } = await inventories.inventoryOf(tx, marinaId);
  const { calls, faults } = readBookingLines(text, index.inventory, now);
  if (calls.length > mostLines) {
    throw new Problem('body-too-large', `The file has ${calls.length} bookings; at most ${mostLines} come at once.`);
  }
  return { index, calls, faults };
}

function requireSound(faults: readonly LineFault[]): void {
  if (faults.length === 0) return;
  const errors = faults.map(({ line, column, message }) => ({
    in: 'body' as const,
    pointer: column === null ? `/${line}` : `/${line}/${column}`,
    message: `Line ${line}${column === null ? '' : `, ${column}`}: ${message}`,
  }));
  throw new Problem('faulty-document', `${faults.length} faults. Nothing was entered.`, { errors });
}

const mostBytes = 2_000_000;

/** The whole text of a stream. Throws a Problem: `body-too-large`, `invalid-input` where it is no UTF-8. */
export async function textOf(stream: Readable): Promise<string> {
  const parts: Buffer[] = [];
  let bytes = 0;
  for await (const part of stream) {
    const buffer = Buffer.from(part);
    bytes += buffer.length;
    if (bytes > mostBytes) throw new Problem('body-too-large', `A file of bookings has at most ${mostBytes} bytes.`);
    parts.push(buffer);
  }
  try {
    return new TextDecoder('utf-8', { fatal: true }).decode(Buffer.concat(parts));
  } catch (error) {
    if (!(error instanceof TypeError)) throw error;
    throw new Problem('invalid-input', 'The file is not in UTF-8. Save it as CSV UTF-8.');
  }
}
