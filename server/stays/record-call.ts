import { randomUUID } from 'node:crypto';
import type { Finding } from '../../core/findings.ts';
import { boatDocument } from '../boats/schema.ts';
import { boatOf } from '../boats/stored-boat.ts';
import type { Tx } from '../db/client.ts';
import { type Boat, Prisma } from '../db/generated/client.ts';
import { type Idempotency, marinaTransaction } from '../db/marina-transaction.ts';
import { plainJson } from '../db/plain-json.ts';
import type { Principal } from '../http/access.ts';
import { invalid } from '../occupancy/berth-parts.ts';
import type { Services } from '../services.ts';
import { boatOfCall } from './boat-of-call.ts';
import { openQuestions } from './open-questions.ts';
import { requireWishes } from './require-wishes.ts';
import { type Call, type CallAnswer, type Reasons, stayDocument } from './schema.ts';
import { requireToCome, stayPeriod } from './stay-period.ts';

interface RecordCall {
  readonly principal: Principal;
  readonly idempotency: Idempotency | null;
  readonly now: number;
  readonly call: Call;
  /** Why it could not be served; null: it is a request. */
  readonly turnedAway: Reasons | null;
}

/** Enters a call: the boat, unless it is known, and its stay, requested or turned away. Throws a Problem: `invalid-input`. */
export async function recordCall(
  { db, inventories }: Services,
  { principal, idempotency, now, call, turnedAway }: RecordCall,
): Promise<CallAnswer> {
  const { marinaId, id: actor } = principal;
  const kind = turnedAway === null ? 'stay.requested' : 'stay.turnedAway';
  const options = { marinaId, actor, kind, now, idempotency };
  return marinaTransaction(db, options, async ({ tx, recordChange }) => {
    const { index } = await inventories.inventoryOf(tx, marinaId);
    requireWishes(call.wishes, index);
    const answer = await enterCall(tx, marinaId, index.inventory, { call, turnedAway, now });
    await recordChange(null, { stay: answer.stay, boat: answer.boat });
    return answer;
  });
}

/** Writes the boat and the stay of a call. Throws a Problem: `invalid-input`. */
export async function enterCall(
  tx: Tx,
  marinaId: string,
  clock: Parameters<typeof stayPeriod>[1],
  { call, turnedAway, now }: Pick<RecordCall, 'call' | 'turnedAway' | 'now'>,
): Promise<CallAnswer> {
  const period = stayPeriod(call, clock, now);
  if (turnedAway === null) requireToCome(period, clock, now);
  const { boat, note, findings } = await enterBoat(tx, marinaId, call, now);
  const stay = await tx.stay.create({
    data: {
      marinaId,
      id: randomUUID(),
      boatId: boat.id,
      contactName: call.name ?? 'not stated',
      contactPhone: call.phone,
      arrivalAt: new Date(period.from),
      departureAt: new Date(period.until),
      state: turnedAway === null ? 'requested' : 'turnedAway',
      wishes: call.wishes,
      priority: call.priority,
      note: [call.note, note].filter((part) => part !== '').join('\n'),
      turnedAwayReasons: turnedAway ?? Prisma.DbNull,
      createdAt: new Date(now),
    },
  });
  return {
    stay: stayDocument(stay, boat),
    boat: boatDocument(boat),
    unknown: openQuestions(boatOf(boat)),
    findings: [...findings],
  };
}

interface EnteredBoat {
  readonly boat: Boat;
  readonly note: string;
  readonly findings: readonly Finding[];
}

async function enterBoat(tx: Tx, marinaId: string, call: Call, now: number): Promise<EnteredBoat> {
  if (call.boatId !== null) {
    const known = await tx.boat.findUnique({ where: { marinaId_id: { marinaId, id: call.boatId } } });
    if (known === null) throw invalid('/boatId', `There is no boat "${call.boatId}". Say what it is instead.`);
    if (known.retiredAt !== null) throw invalid('/boatId', `Boat "${known.name}" is retired. Enter it anew.`);
    return { boat: known, note: '', findings: [] };
  }
  const { boat, note, findings } = boatOfCall(call, randomUUID(), now);
  const { id, name, ...facts } = boat;
  const entered = await tx.boat.create({
    data: { marinaId, id, name, facts: plainJson(facts), createdAt: new Date(now) },
  });
  return { boat: entered, note, findings };
}
