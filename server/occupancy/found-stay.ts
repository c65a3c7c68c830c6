import { randomUUID } from 'node:crypto';
import type { Finding } from '../../core/findings.ts';
import type { MarinaSettings } from '../../core/inventory/inventory.ts';
import { boatFactsSchema, factsFromApi } from '../boats/schema.ts';
import type { Tx } from '../db/client.ts';
import type { Prisma, Stay } from '../db/generated/client.ts';
import { plainJson } from '../db/plain-json.ts';
import { nextLocalHour } from '../local-time.ts';
import { invalid } from './berth-parts.ts';
import type { FoundInput } from './found-schema.ts';

export interface FoundBoat {
  readonly id: string;
  readonly name: string;
  readonly facts: Prisma.JsonValue;
}

const dayMs = 86_400_000;

/** The boat that was found; a strange one is entered with what can be seen of it. */
export async function foundBoat(tx: Tx, marinaId: string, input: FoundInput, now: number): Promise<FoundBoat> {
  const { boat, stayId } = input;
  if (stayId !== undefined) {
    const stay = await tx.stay.findUnique({
      where: { marinaId_id: { marinaId, id: stayId } },
      include: { boat: true },
    });
    if (stay === null) throw invalid('/stayId', `There is no stay "${stayId}".`);
    if (boat !== undefined && 'boatId' in boat && boat.boatId !== stay.boatId) {
      throw invalid('/boat/boatId', `The stay is that of "${stay.boat.name}" (${stay.boatId}). Give its own stay.`);
    }
    return stay.boat;
  }
  if (boat !== undefined && 'boatId' in boat) {
    const known = await tx.boat.findUnique({ where: { marinaId_id: { marinaId, id: boat.boatId } } });
    if (known === null) throw invalid('/boat/boatId', `There is no boat "${boat.boatId}". Give its name instead.`);
    return known;
  }
  if (boat === undefined) throw invalid('/boat', 'Say which boat lies there.');
  const { name, ...seen } = boat;
  const facts = Object.fromEntries(Object.entries(seen).map(([fact, value]) => [fact, { value, origin: 'dockhand' }]));
  const stored = factsFromApi(boatFactsSchema.parse(facts), now);
  return tx.boat.create({ data: { marinaId, id: randomUUID(), name, facts: plainJson(stored) } });
}

/** Others of the same name that were entered as strange within a day: one boat may have been entered twice. */
export async function likeNamed(
  tx: Tx,
  marinaId: string,
  boat: FoundBoat,
  input: FoundInput,
  at: number,
): Promise<Finding[]> {
  if (input.boat === undefined || 'boatId' in input.boat) return [];
  const stays = await tx.stay.findMany({
    where: {
      marinaId,
      boatId: { not: boat.id },
      boat: { name: { equals: boat.name, mode: 'insensitive' } },
      state: { in: ['requested', 'offered', 'promised', 'arrived'] },
      arrivalAt: { lte: new Date(at + dayMs) },
      departureAt: { gte: new Date(at - dayMs) },
    },
    orderBy: [{ arrivalAt: 'asc' }, { id: 'asc' }],
    take: 3,
  });
  return stays.map((stay) => ({
    rule: 'space.sameName',
    level: 'note',
    subject: { kind: 'stay', id: stay.id, label: boat.name },
    actual: stay.boatId,
    limit: null,
    unit: null,
    source: 'occupancy as recorded',
    message: `Another boat named "${boat.name}" (${stay.boatId}, stay ${stay.id}, ${stay.state}) is entered about the same time. If it is the same one, enter it again where it lies with its boatId, and end the stay that was made for it.`,
  }));
}

export interface FoundStay {
  /** As it was; null: it is new. */
  readonly before: Stay | null;
  readonly id: string;
  /** Until when the boat is expected to lie there. */
  readonly until: number;
}

/**
 * The stay that the boat has at `at`: the one named, else the one it has arrived on, else the next to arrive within a
 * day, else a new one. It becomes `arrived`, whatever its state was: the boat is there.
 */
export async function arriveOnStay(
  tx: Tx,
  marinaId: string,
  boat: FoundBoat,
  input: FoundInput,
  { settings, timeZone }: { settings: MarinaSettings; timeZone: string },
): Promise<FoundStay> {
  const at = Date.parse(input.at);
  const before = await presentStay(tx, marinaId, boat.id, input.stayId, at);
  const departure = before === null ? null : before.departureAt.getTime();
  const until = expectedUntil(input, at, departure) ?? nextLocalHour(at, settings.departureHour, timeZone);
  if (until <= at) throw invalid('/until', 'It would leave before it was found. Give an end after "at".');
  if (before === null) {
    const created = await tx.stay.create({
      data: {
        marinaId,
        id: randomUUID(),
        boatId: boat.id,
        contactName: input.contactName ?? 'not stated',
        arrivalAt: new Date(at),
        departureAt: new Date(until),
        state: 'arrived',
        wishes: { dockId: null, berthId: null, orientation: null, mooring: null },
      },
    });
    return { before, id: created.id, until };
  }
  await tx.stay.update({
    where: { marinaId_id: { marinaId, id: before.id } },
    data: {
      state: 'arrived',
      arrivalAt: new Date(Math.min(at, before.arrivalAt.getTime())),
      departureAt: new Date(Math.max(until, before.departureAt.getTime())),
      version: { increment: 1 },
    },
  });
  return { before, id: before.id, until };
}

function expectedUntil(input: FoundInput, at: number, departure: number | null): number | null {
  if (input.until !== undefined) return Date.parse(input.until);
  return departure !== null && departure > at ? departure : null;
}

async function presentStay(
  tx: Tx,
  marinaId: string,
  boatId: string,
  stayId: string | undefined,
  at: number,
): Promise<Stay | null> {
  if (stayId !== undefined) return tx.stay.findUnique({ where: { marinaId_id: { marinaId, id: stayId } } });
  const arrived = await tx.stay.findFirst({
    where: { marinaId, boatId, state: 'arrived' },
    orderBy: [{ arrivalAt: 'desc' }, { id: 'asc' }],
  });
  if (arrived !== null) return arrived;
  return tx.stay.findFirst({
    where: {
      marinaId,
      boatId,
      state: { in: ['requested', 'offered', 'promised'] },
      arrivalAt: { lte: new Date(at + dayMs) },
      departureAt: { gt: new Date(at) },
    },
    orderBy: [{ arrivalAt: 'asc' }, { id: 'asc' }],
  });
}
