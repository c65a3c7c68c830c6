import { judgeChoice } from '../../core/berths/options/judge-choice.ts';
import type { BerthOption, Wishes } from '../../core/berths/options/options.ts';
import { prepare } from '../../core/berths/options/prepare.ts';
import type { Prepared } from '../../core/berths/options/prepared.ts';
import type { Boat } from '../../core/boats.ts';
import type { Finding } from '../../core/findings.ts';
import type { InventoryIndex } from '../../core/inventory/index-inventory.ts';
import { demandPractice } from '../../core/standards/demand-practices.ts';
import { assignmentDocument } from '../../server/assignments/schema.ts';
import type { Database } from '../../server/db/client.ts';
import type { Assignment } from '../../server/db/generated/client.ts';
import { localTime } from '../../server/local-time.ts';
import { loadOccupancy } from '../../server/occupancy/load.ts';
import { presentPlace } from '../../server/stays/present-place.ts';
import { addDays, localDay, localMoment } from '../days.ts';

/** A stay that arrives on the day, judged on the occupancy of this moment. */
export interface Arrival {
  readonly boat: Boat;
  readonly from: number;
  readonly state: string;
  /** As it lies in the book; null where it has no berth yet. */
  readonly option: BerthOption | null;
  /** What took its berth or an outlet of its hook-up. */
  readonly lost: readonly Finding[];
  /** For judging other berths for the same stay. */
  readonly prepared: Prepared;
}

interface StoredArrival {
  readonly id: string;
  readonly arrivalAt: Date;
  readonly departureAt: Date;
  readonly state: string;
  readonly wishes: unknown;
  readonly needsBerth: unknown;
  readonly boat: { readonly id: string; readonly name: string; readonly facts: unknown };
  readonly assignments: readonly Assignment[];
}

/** The stays that arrive on the local day of `now`, earliest first. */
export async function judgeArrivals(
  db: Database,
  marinaId: string,
  index: InventoryIndex,
  now: number,
): Promise<Arrival[]> {
  const { timeZone } = index.inventory;
  const today = localDay(now, timeZone);
  const rows = await db.prisma.stay.findMany({
    where: {
      marinaId,
      state: { in: ['requested', 'offered', 'promised', 'arrived'] },
      arrivalAt: {
        gte: new Date(localMoment(today, 0, timeZone)),
        lt: new Date(localMoment(addDays(today, 1), 0, timeZone)),
      },
    },
    include: { boat: true, assignments: { orderBy: { fromAt: 'asc' } } },
    orderBy: [{ arrivalAt: 'asc' }, { id: 'asc' }],
  });
  const arrivals: Arrival[] = [];
  for (const row of rows) arrivals.push(await judgeArrival(db, marinaId, index, row, now));
  return arrivals;
}

async function judgeArrival(
  db: Database,
  marinaId: string,
  index: InventoryIndex,
  row: StoredArrival,
  now: number,
): Promise<Arrival> {
  const { timeZone, settings, practices } = index.inventory;
  const [from, until] = [row.arrivalAt.getTime(), row.departureAt.getTime()];
  const present = presentPlace(row, row.assignments, now);
  const occupiedUntil = present?.occupiedUntil.getTime() ?? until + settings.turnoverMinutes * 60_000;
  const all = await loadOccupancy(db.prisma, marinaId, { from, until: occupiedUntil });
  const own = new Set(row.assignments.map(({ id }) => id));
  const practice = practices.find(({ id }) => id === settings.practiceId) ?? demandPractice(settings.practiceId);
  if (practice === null) throw new Error(`the practice "${settings.practiceId}" is unknown`);
  // Facts and wishes are stored as core's own documents.
  const boat = { ...(row.boat.facts as Omit<Boat, 'id' | 'name'>), id: row.boat.id, name: row.boat.name };
  const prepared = prepare({
    index,
    practice,
    boat,
    period: { from, until },
    occupiedUntil,
    sayTime: (at) => localTime(at, timeZone),
    localDays: { from: localDay(from, timeZone), until: addDays(localDay(until, timeZone), 1) },
    wishes: row.wishes as Wishes,
    spaceUses: all.spaceUses.filter(({ by }) => !own.has(by.id)),
    outletUses: all.outletUses.filter(({ by }) => !own.has(by.id)),
    stockUses: all.stockUses.filter(({ assignmentId }) => !own.has(assignmentId)),
  });
  return {
    boat,
    from,
    state: row.state,
    option: present === null ? null : await judgeAssignment(db, prepared, present),
    // Findings are stored as core gave them.
    lost: (row.needsBerth ?? []) as readonly Finding[],
    prepared,
  };
}

async function judgeAssignment(db: Database, prepared: Prepared, assignment: Assignment): Promise<BerthOption | null> {
  const berth = prepared.question.index.berths.get(assignment.berthId);
  if (berth === undefined) return null;
  const { orientation, place, power } = assignmentDocument(assignment);
  const choice = { orientation, place, hookUp: power?.connection?.hookUp ?? null };
  const judged = judgeChoice(prepared, berth, choice).describe();
  if (!assignment.found) return judged;
  // Nobody has judged how a boat that was found is plugged in: what was entered is told, and nothing else.
  const uses = await db.prisma.outletUse.findMany({
    where: { marinaId: assignment.marinaId, assignmentId: assignment.id },
    orderBy: { id: 'asc' },
  });
  const outletIds = [...new Set(uses.map(({ outletId }) => outletId))];
  // Findings are stored as core gave them.
  const findings = assignment.findings as unknown as readonly Finding[];
  return { ...judged, hookUp: null, cords: [], tightest: null, outletIds, findings };
}
