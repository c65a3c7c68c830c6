import type { PlanStay, PresentPlace } from '../../core/berths/plan/question.ts';
import { statedVaOf } from '../../core/electrical/boat-load/load-of-boat.ts';
import { spreadStatedVa } from '../../core/electrical/demand/spread-stated.ts';
import type { InventoryIndex } from '../../core/inventory/index-inventory.ts';
import type { Period } from '../../core/periods.ts';
import { assignmentDocument } from '../assignments/schema.ts';
import { boatOf } from '../boats/stored-boat.ts';
import type { Tx } from '../db/client.ts';
import type { Assignment, Boat, Stay } from '../db/generated/client.ts';
import { localDaysOf, nextLocalHour } from '../local-time.ts';
import { storedWishes } from '../stays/stored-stay.ts';

type StoredStay = Stay & { readonly boat: Boat; readonly assignments: readonly Assignment[] };

/** A stay, or what is left of it, that a plan may place. */
export interface StayToPlace {
  readonly stay: PlanStay;
  readonly version: number;
  /** Assignments that it gives up where it is placed: all that last beyond its beginning. */
  readonly gives: ReadonlySet<string>;
}

interface Asked {
  readonly marinaId: string;
  readonly period: Period;
  readonly pinnedStayIds: readonly string[];
  readonly now: number;
}

/**
 * The stays of a period that a plan places. One to come with a place for all of it may get another. One that has no
 * place for a time that is still to come (it waits, was displaced, was found elsewhere for less than its stay) is
 * placed from the beginning of that time to its departure, whether its boat lies here or not; what it has before stays.
 * All others keep what they have. Boats to come of a group whose block is kept are placed together by the group's own
 * command.
 */
export async function staysToPlace(db: Tx, index: InventoryIndex, asked: Asked): Promise<StayToPlace[]> {
  const { marinaId, period, pinnedStayIds, now } = asked;
  const rows: readonly StoredStay[] = await db.stay.findMany({
    where: {
      marinaId,
      state: { in: ['requested', 'offered', 'promised', 'arrived'] },
      arrivalAt: { lt: new Date(period.until) },
      departureAt: { gt: new Date(Math.max(period.from, now)) },
      OR: [{ groupId: null }, { group: { releasedAt: { not: null } } }, { state: 'arrived' }],
    },
    include: { boat: true, assignments: { orderBy: [{ fromAt: 'asc' }, { id: 'asc' }] } },
    orderBy: [{ arrivalAt: 'asc' }, { id: 'asc' }],
  });
  const pinned = new Set(pinnedStayIds);
  return rows.flatMap((row) => {
    if (pinned.has(row.id)) return [];
    const whole = wholePlace(row, now);
    if (whole !== null) return [toPlace(row, index, row.arrivalAt.getTime(), whole)];
    const from = unplacedFrom(row, now);
    return from === null ? [] : [toPlace(row, index, from, null)];
  });
}

/** The one assignment of a stay that is still to come, for all of it. */
function wholePlace({ assignments, arrivalAt, departureAt }: StoredStay, now: number): Assignment | null {
  const [only] = assignments;
  if (only === undefined || assignments.length > 1 || arrivalAt.getTime() < now) return null;
  const isWhole = only.fromAt.getTime() === arrivalAt.getTime() && only.untilAt.getTime() === departureAt.getTime();
  return isWhole ? only : null;
}

/** The first moment from now on at which a stay has no place; null: it has one until its departure. */
function unplacedFrom({ assignments, arrivalAt, departureAt }: StoredStay, now: number): number | null {
  let placedUntil = Math.max(arrivalAt.getTime(), now);
  for (const { fromAt, untilAt } of assignments) {
    if (fromAt.getTime() > placedUntil) break;
    placedUntil = Math.max(placedUntil, untilAt.getTime());
  }
  return placedUntil < departureAt.getTime() ? placedUntil : null;
}

const dayMs = 86_400_000;

function toPlace(row: StoredStay, index: InventoryIndex, from: number, assignment: Assignment | null): StayToPlace {
  const { settings, timeZone } = index.inventory;
  const period = { from, until: row.departureAt.getTime() };
  const boat = boatOf(row.boat);
  const stay: PlanStay = {
    id: row.id,
    label: row.boat.name,
    boat,
    wishes: storedWishes.parse(row.wishes),
    period,
    occupiedUntil: Math.max(period.until + settings.turnoverMinutes * 60_000, assignment?.occupiedUntil.getTime() ?? 0),
    localDays: localDaysOf(period, timeZone),
    nights: Math.max(1, Math.round((period.until - period.from) / dayMs)),
    priority: row.priority,
    promised: row.state !== 'requested',
    present: assignment === null ? null : presentPlace(assignment, index, boat),
    movesAt: movesInside(period, index),
    part: null,
  };
  const given = row.assignments.filter(({ untilAt }) => untilAt.getTime() > from);
  return { stay, version: row.version, gives: new Set(given.map(({ id }) => id)) };
}

/** On each day inside it the hour at which berths fall free: that of departure, and the turnover after it. */
function movesInside({ from, until }: Period, { inventory: { settings, timeZone } }: InventoryIndex): number[] {
  const moments: number[] = [];
  const turnoverMs = settings.turnoverMinutes * 60_000;
  for (let at = from; ; ) {
    at = nextLocalHour(at, settings.departureHour, timeZone);
    if (at + turnoverMs >= until) return moments;
    moments.push(at + turnoverMs);
  }
}

function presentPlace(row: Assignment, index: InventoryIndex, boat: PlanStay['boat']): PresentPlace {
  const { berthId, orientation, place, power } = assignmentDocument(row);
  const outletIds = power?.outletIds ?? [];
  const drawnVa = (power?.connection ?? null) === null ? null : statedVaOf(boat);
  const spread = spreadStatedVa(index, outletIds, drawnVa);
  return {
    berthId,
    orientation,
    place,
    outletIds,
    adapters: (power?.connection?.hookUp.adapters ?? []).map(({ kindId, from, stockId }) => ({
      kindId,
      from,
      stockId,
    })),
    cords: power?.cords ?? [],
    statedVa: outletIds.map((id) => spread.get(id) ?? null),
  };
}
