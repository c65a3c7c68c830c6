import type { OutletUse, SpaceUse, UsedBy } from '../../core/berths/occupancy.ts';
import { subtractBoxes } from '../../core/berths/space-uses.ts';
import type { InventoryIndex } from '../../core/inventory/index-inventory.ts';
import { type Period, subtract } from '../../core/periods.ts';
import { epochMs } from '../db/epoch-ms.ts';
import type { Prisma } from '../db/generated/client.ts';
import { nextLocalHour } from '../local-time.ts';
import { loadOccupancy, type Occupancy } from './load.ts';

/** A boat that is here beyond the last place that it was given, by the book. */
export interface Overstay {
  readonly stayId: string;
  readonly boatId: string;
  readonly boatName: string;
  /** Its last place. */
  readonly assignmentId: string;
  /** Its units, and metres of a face, save those where another boat has come to lie since. */
  readonly unitIds: readonly string[];
  readonly fromM: number | null;
  readonly untilM: number | null;
  /** When that place ends and, its turnover included, when its space comes free by the book, epoch milliseconds. */
  readonly since: number;
  readonly occupiedUntil: number;
  readonly departureAt: number;
  /** What it was plugged into at the end, save where another boat has been plugged in since. */
  readonly outlets: readonly { readonly outletId: string; readonly statedVa: number | null }[];
}

// Another boat that has come there since is the proof that this one has gone from there.
const retaken = (use: string) => `EXISTS (SELECT 1 FROM ${use} v
      JOIN assignment va ON va.marina_id = v.marina_id AND va.id = v.assignment_id
      JOIN stay vs ON vs.marina_id = va.marina_id AND vs.id = va.stay_id
      WHERE v.marina_id = a.marina_id AND v.from_at >= a.until_at AND v.from_at <= $2::timestamptz AND vs.id <> s.id
        AND vs.state IN ('arrived', 'departed')`;

// An outlet given up while the boat still lay there is not what it is plugged into at the end.
const statement = `SELECT s.id AS "stayId", b.id AS "boatId", b.name AS "boatName", a.id AS "assignmentId",
    a.face_from_m AS "fromM", a.face_until_m AS "untilM", ${epochMs('a.until_at')} AS since,
    ${epochMs('a.occupied_until')} AS "occupiedUntil", ${epochMs('s.departure_at')} AS "departureAt",
    (SELECT coalesce(json_agg(u.unit_id ORDER BY u.position), '[]') FROM berth_unit u
      WHERE u.marina_id = a.marina_id AND u.berth_id = a.berth_id AND NOT ${retaken('space_use')}
        AND v.unit_id = u.unit_id AND v.from_m < coalesce(a.face_until_m, 1) AND coalesce(a.face_from_m, 0) < v.until_m)
    ) AS "unitIds",
    (SELECT coalesce(json_agg(json_build_object('outletId', u.outlet_id, 'statedVa', u.stated_va) ORDER BY u.outlet_id), '[]')
      FROM outlet_use u WHERE u.marina_id = a.marina_id AND u.assignment_id = a.id AND u.until_at >= a.until_at
        AND NOT ${retaken('outlet_use')} AND v.outlet_id = u.outlet_id)) AS outlets
  FROM stay s
  JOIN boat b ON b.marina_id = s.marina_id AND b.id = s.boat_id
  JOIN LATERAL (SELECT * FROM assignment l WHERE l.marina_id = s.marina_id AND l.stay_id = s.id
    ORDER BY l.until_at DESC LIMIT 1) a ON true
  WHERE s.marina_id = $1 AND s.state = 'arrived' AND a.until_at < greatest($2::timestamptz, s.departure_at)
  ORDER BY s.id`;

/** Boats that have arrived and not left, whose last place has ended or ends before their stay does. */
export function findOverstays(db: Prisma.TransactionClient, marinaId: string, now: number): Promise<Overstay[]> {
  return db.$queryRawUnsafe<Overstay[]>(statement, marinaId, new Date(now).toISOString());
}

/** Until when a boat is taken to be plugged in, and to have its space, epoch milliseconds. */
export interface OverstayEnd {
  readonly until: number;
  readonly keptUntil: number;
}

/**
 * Until when a boat that was not seen to leave is taken to lie there: as a boat that is found, until the next hour of
 * departure, and its space is kept for the turnover time after that.
 */
export function overstaysUntil({ inventory }: InventoryIndex, now: number): OverstayEnd {
  const { settings, timeZone } = inventory;
  const until = nextLocalHour(now, settings.departureHour, timeZone);
  return { until, keptUntil: until + settings.turnoverMinutes * 60_000 };
}

/**
 * What boats take that lie here beyond their last place: where they lay last, plugged in as before. What others have by
 * then stays theirs.
 * @param others what is stored as in use in the period
 */
export function usesOfOverstays(
  overstays: readonly Overstay[],
  others: Pick<Occupancy, 'spaceUses' | 'outletUses'>,
  { period, endOf, mayBeGone }: UsesAsked,
): Pick<Occupancy, 'spaceUses' | 'outletUses'> {
  const spaces: SpaceUse[] = [];
  const outlets: OutletUse[] = [];
  for (const overstay of overstays) {
    const { since, occupiedUntil } = overstay;
    const { until, keptUntil } = endOf(overstay);
    const overdue = { since, mayBeGone: mayBeGone(overstay) };
    const by: UsedBy = { kind: 'assignment', id: overstay.assignmentId, label: overstay.boatName, overdue };
    const lies = { from: Math.max(occupiedUntil, period.from), until: Math.min(keptUntil, period.until) };
    for (const unitId of overstay.unitIds) {
      const metres = { unitId, fromM: overstay.fromM ?? 0, untilM: overstay.untilM ?? 1 };
      const left = subtractBoxes({ ...metres, ...lies }, [...others.spaceUses, ...spaces]);
      spaces.push(...left.map((box) => ({ ...box, by })));
    }
    const plugged = { from: Math.max(since, period.from), until: Math.min(until, period.until) };
    if (plugged.from >= plugged.until) continue;
    for (const { outletId, statedVa } of overstay.outlets) {
      const taken = [...others.outletUses, ...outlets].filter((use) => use.outletId === outletId);
      outlets.push(...subtract(plugged, taken).map((free) => ({ ...free, outletId, statedVa, by })));
    }
  }
  return { spaceUses: spaces, outletUses: outlets };
}

interface UsesAsked {
  readonly period: Period;
  readonly endOf: (overstay: Overstay) => OverstayEnd;
  /** Whether one may be gone when the period begins: see `Overdue`. */
  readonly mayBeGone: (overstay: Overstay) => boolean;
}

/** What is stored as in use, and what boats have that should have left by now and are not entered as gone. */
export async function withOverstays(
  db: Prisma.TransactionClient,
  marinaId: string,
  index: InventoryIndex,
  occupancy: Occupancy,
  { now, period, besidesStayIds = new Set() }: OverstaysAsked,
): Promise<Occupancy> {
  const end = overstaysUntil(index, now);
  if (period.from >= end.keptUntil) return occupancy;
  const overstays = await findOverstays(db, marinaId, now);
  const ended = overstays.filter(({ since, stayId }) => since <= now && !besidesStayIds.has(stayId));
  const uses = usesOfOverstays(ended, occupancy, { period, endOf: () => end, mayBeGone: () => false });
  return {
    spaceUses: [...occupancy.spaceUses, ...uses.spaceUses],
    outletUses: [...occupancy.outletUses, ...uses.outletUses],
    stockUses: occupancy.stockUses,
  };
}

interface OverstaysAsked {
  readonly now: number;
  readonly period: Period;
  /** Stays for which somebody else finds a place. */
  readonly besidesStayIds?: ReadonlySet<string>;
}

/** Occupancy of a marina over a period, boats with it that should have left by now and are not entered as gone. */
export async function loadPresent(
  db: Prisma.TransactionClient,
  marinaId: string,
  index: InventoryIndex,
  asked: { readonly now: number; readonly period: Period },
): Promise<Occupancy> {
  return withOverstays(db, marinaId, index, await loadOccupancy(db, marinaId, asked.period), asked);
}
