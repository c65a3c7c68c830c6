import { isDeepStrictEqual } from 'node:util';
import type { DockEvent } from '../db/generated/client.ts';
import { marinaTransaction } from '../db/marina-transaction.ts';
import { plainJson } from '../db/plain-json.ts';
import { Problem } from '../errors.ts';
import type { Principal } from '../http/access.ts';
import type { Services } from '../services.ts';
import { enterCheckIn } from './enter-check-in.ts';
import { enterDeparture } from './enter-departure.ts';
import { enterAdapterBack, enterOutletFault, enterTrouble, enterWrongBerth } from './enter-trouble.ts';
import type { Entered, EventContext } from './event-context.ts';
import { raiseAlerts } from './raise-alerts.ts';
import { type DockEventBody, type DockEventDocument, dockEventDocument } from './schema.ts';

const oldestMs = 30 * 86_400_000;

interface RecordEvent {
  readonly principal: Principal;
  readonly now: number;
  readonly eventId: string;
  readonly body: DockEventBody;
}

/** Stored meanwhile by the same event sent twice at once; the transaction leaves nothing behind. */
class StoredMeanwhile extends Error {}

/**
 * Appends what happened at the dock, once and only once: the id is the phone's, and the same event sent again answers
 * what is stored. It is never refused as stale; what contradicts the desk is kept beside it and raised as an alert.
 * @throws Problem `key-reused` where the id belongs to another event; `invalid-input` for designations that do not exist
 */
export async function recordDockEvent(
  services: Services,
  command: RecordEvent,
): Promise<{ readonly event: DockEventDocument; readonly isNew: boolean }> {
  const stored = await storedEvent(services, command);
  if (stored !== null) return { event: stored, isNew: false };
  try {
    return { event: await append(services, command), isNew: true };
  } catch (error) {
    if (!(error instanceof StoredMeanwhile)) throw error;
    const meanwhile = await storedEvent(services, command);
    if (meanwhile === null) throw error;
    return { event: meanwhile, isNew: false };
  }
}

async function storedEvent(
  { db }: Services,
  { principal, eventId, body }: RecordEvent,
): Promise<DockEventDocument | null> {
  const where = { marinaId_id: { marinaId: principal.marinaId, id: eventId } };
  const row = await db.prisma.dockEvent.findUnique({ where });
  if (row === null) return null;
  const event = dockEventDocument(row);
  if (isDeepStrictEqual(event.sent, body)) return event;
  throw new Problem(
    'key-reused',
    `The id "${eventId}" belongs to another event. Send this one under an id of its own.`,
  );
}

function append(services: Services, { principal, now, eventId, body }: RecordEvent): Promise<DockEventDocument> {
  const { marinaId, id: actor } = principal;
  const options = { marinaId, actor, kind: `dock.${body.kind}`, now };
  return marinaTransaction(services.db, options, async ({ tx, seq, recordChange }) => {
    if ((await tx.dockEvent.count({ where: { marinaId, id: eventId } })) > 0) throw new StoredMeanwhile();
    const { index } = await services.inventories.inventoryOf(tx, marinaId);
    const sentAt = Date.parse(body.at);
    // A phone's clock may be ahead; occupancy further back than a month is history.
    const at = Math.max(Math.min(sentAt, now), now - oldestMs);
    const entered = await enter({ services, tx, marinaId, eventId, index, now, at }, body);
    const contradictions = [...entered.contradictions, ...clockDiffers(sentAt, now)];
    const row: DockEvent = await tx.dockEvent.create({
      data: {
        marinaId,
        id: eventId,
        kind: body.kind,
        stayId: entered.stayId,
        boatId: entered.boatId,
        outletIds: [...entered.outletIds],
        at: new Date(sentAt),
        receivedAt: new Date(now),
        actor,
        body: plainJson(body),
        outcome: entered.outcome,
        findings: plainJson(entered.findings),
        contradictions: plainJson(contradictions),
        seq,
      },
    });
    await raiseAlerts(tx, marinaId, now, [
      ...entered.alerts,
      ...contradictions.map(({ message }) => {
        return { kind: 'contradiction' as const, stayId: entered.stayId, message, findings: [] };
      }),
    ]);
    const event = dockEventDocument(row);
    await recordChange(entered.before, plainJson(event));
    return event;
  });
}

function enter(context: EventContext, body: DockEventBody): Promise<Entered> {
  switch (body.kind) {
    case 'checkIn':
      return enterCheckIn(context, body);
    case 'departure':
      return enterDeparture(context, body);
    case 'outletFault':
      return enterOutletFault(context, body);
    case 'wrongBerth':
      return enterWrongBerth(context, body);
    case 'trip':
    case 'hotContact':
      return enterTrouble(context, body);
    case 'adapterBack':
      return enterAdapterBack(context, body);
  }
}

const minuteMs = 60_000;

function clockDiffers(sentAt: number, now: number) {
  if (sentAt <= now + 2 * minuteMs) return [];
  const [dock, desk] = [new Date(sentAt).toISOString(), new Date(now).toISOString()];
  const message = `The phone's clock is ahead: it says ${dock}, the service ${desk}. Entered as of the service's time.`;
  return [{ about: 'clock', dock, desk, message }];
}
