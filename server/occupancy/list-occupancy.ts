import type { Overdue, UsedBy } from '../../core/berths/occupancy.ts';
import type { InventoryIndex } from '../../core/inventory/index-inventory.ts';
import { openEnd, type Period } from '../../core/periods.ts';
import type { Database } from '../db/client.ts';
import { epochMs } from '../db/epoch-ms.ts';
import { outletSubject } from './displace.ts';
import { findOverstays, overstaysUntil, usesOfOverstays } from './overstays.ts';
import { usedBy, usersJoined } from './users-sql.ts';

/** Who has a unit of space or an outlet. */
interface User {
  readonly kind: 'assignment' | 'holding' | 'outOfService' | 'group';
  readonly id: string;
  /** Boat, holder, reason or group. */
  readonly label: string;
  readonly stayId: string | null;
  readonly stayState: string | null;
  readonly boatId: string | null;
}

interface Use {
  readonly from: string;
  /** null: no end. */
  readonly until: string | null;
  /** When a boat should have left that nobody has seen to leave; null: it is there by right. */
  readonly overdueSince: string | null;
  readonly by: User;
}

export interface OccupiedSpace extends Use {
  readonly unitId: string;
  readonly unitLabel: string;
  readonly fromM: number | null;
  readonly untilM: number | null;
}

export interface OccupiedOutlet extends Use {
  readonly outletId: string;
  readonly outletLabel: string;
  readonly statedVa: number | null;
}

export interface OccupancyList {
  readonly spaces: readonly OccupiedSpace[];
  readonly outlets: readonly OccupiedOutlet[];
}

type Stored<T extends Use> = Omit<T, 'from' | 'until' | 'overdueSince'> & Period & { readonly overdue?: Overdue };

const use = `'from', ${epochMs('u.from_at')}, 'until', ${epochMs('u.until_at')}, 'by', json_build_object(${usedBy},
    'stayId', stay.id, 'stayState', stay.state, 'boatId', coalesce(stay.boat_id, h.boat_id))`;

const users = (table: 'space_use' | 'outlet_use') => `${usersJoined(table)}
  WHERE u.marina_id = $1 AND tstzrange(u.from_at, u.until_at, '[)') && tstzrange($2::timestamptz, $3::timestamptz, '[)')`;

const statement = `SELECT
  (SELECT coalesce(json_agg(json_build_object('unitId', u.unit_id, 'unitLabel', unit.label,
      'fromM', CASE WHEN unit.kind = 'face' THEN u.from_m END, 'untilM', CASE WHEN unit.kind = 'face' THEN u.until_m END,
      ${use}) ORDER BY unit.position, unit.id, u.from_m, u.from_at), '[]')
    FROM space_use u JOIN space_unit unit ON unit.marina_id = u.marina_id AND unit.id = u.unit_id ${users('space_use')}
      AND ($4::text IS NULL OR unit.dock_id = $4)) AS spaces,
  (SELECT coalesce(json_agg(json_build_object('outletId', u.outlet_id, 'outletLabel', p.label || '-' || outlet.label,
      'statedVa', u.stated_va, ${use}) ORDER BY outlet.position, outlet.id, u.from_at), '[]')
    FROM outlet_use u JOIN outlet ON outlet.marina_id = u.marina_id AND outlet.id = u.outlet_id
    JOIN pedestal p ON p.marina_id = outlet.marina_id AND p.id = outlet.pedestal_id ${users('outlet_use')}
      AND ($4::text IS NULL OR p.dock_id = $4)) AS outlets`;

/**
 * Who has which space and outlets at some time of a period, in the order of the inventory; boats with them that should
 * have left by now and are not entered as gone.
 * @param dockId null: of all docks
 */
export async function listOccupancy(
  db: Database,
  marinaId: string,
  index: InventoryIndex,
  { period, dockId, now }: { readonly period: Period; readonly dockId: string | null; readonly now: number },
): Promise<OccupancyList> {
  const answer = await db.pool.query<{ spaces: Stored<OccupiedSpace>[]; outlets: Stored<OccupiedOutlet>[] }>(
    statement,
    [marinaId, new Date(period.from).toISOString(), new Date(period.until).toISOString(), dockId],
  );
  const { spaces, outlets } = answer.rows[0] ?? { spaces: [], outlets: [] };
  const overdue = await overdueUses(db, marinaId, index, { period, now, spaces, outlets });
  return {
    spaces: inOrder(
      index.inventory.spaceUnits,
      [...spaces, ...overdue.spaces.filter(({ unitId }) => isOn(dockId, index.spaceUnits.get(unitId)?.dockId))],
      ({ unitId }) => unitId,
    ).map(printed),
    outlets: inOrder(
      index.inventory.outlets,
      [...outlets, ...overdue.outlets.filter(({ outletId }) => isOn(dockId, dockOfOutlet(index, outletId)))],
      ({ outletId }) => outletId,
    ).map(printed),
  };
}

async function overdueUses(
  db: Database,
  marinaId: string,
  index: InventoryIndex,
  {
    period,
    now,
    spaces,
    outlets,
  }: {
    readonly period: Period;
    readonly now: number;
    readonly spaces: readonly Stored<OccupiedSpace>[];
    readonly outlets: readonly Stored<OccupiedOutlet>[];
  },
): Promise<{ spaces: Stored<OccupiedSpace>[]; outlets: Stored<OccupiedOutlet>[] }> {
  const overstays = (await findOverstays(db.prisma, marinaId, now)).filter(({ since }) => since <= now);
  const end = overstaysUntil(index, now);
  const others = {
    spaceUses: spaces.map(({ fromM, untilM, ...space }) => ({ ...space, fromM: fromM ?? 0, untilM: untilM ?? 1 })),
    outletUses: outlets,
  };
  const uses = usesOfOverstays(overstays, others, { period, endOf: () => end, mayBeGone: () => false });
  const ofAssignment = new Map(overstays.map((overstay) => [overstay.assignmentId, overstay]));
  const userOf = ({ id, label, overdue }: UsedBy) => {
    const { stayId = null, boatId = null } = ofAssignment.get(id) ?? {};
    const by = { kind: 'assignment', id, label, stayId, stayState: 'arrived', boatId } as const;
    return { by, ...(overdue === undefined ? {} : { overdue }) };
  };
  return {
    spaces: uses.spaceUses.map(({ unitId, fromM, untilM, from, until, by }) => {
      const unit = index.spaceUnits.get(unitId);
      const metres = unit?.kind === 'face' ? { fromM, untilM } : { fromM: null, untilM: null };
      return { unitId, unitLabel: unit?.label ?? unitId, ...metres, from, until, ...userOf(by) };
    }),
    outlets: uses.outletUses.map(({ outletId, statedVa, from, until, by }) => {
      const outletLabel = outletSubject(index, outletId).label;
      return { outletId, outletLabel, statedVa, from, until, ...userOf(by) };
    }),
  };
}

function isOn(dockId: string | null, own: string | undefined): boolean {
  return dockId === null || own === dockId;
}

function dockOfOutlet({ outlets, pedestals }: InventoryIndex, outletId: string): string | undefined {
  return pedestals.get(outlets.get(outletId)?.pedestalId ?? '')?.dockId;
}

/** What is retired since comes last; rows of the same thing stay as they are. */
function inOrder<Row>(things: readonly { readonly id: string }[], rows: readonly Row[], idOf: (row: Row) => string) {
  const order = new Map(things.map(({ id }, position) => [id, position]));
  const placeOf = (row: Row) => order.get(idOf(row)) ?? things.length;
  return [...rows].sort((a, b) => placeOf(a) - placeOf(b));
}

function printed<Row extends Period & { readonly overdue?: Overdue }>({ from, until, overdue, ...rest }: Row) {
  return {
    ...rest,
    from: new Date(from).toISOString(),
    until: until >= openEnd ? null : new Date(until).toISOString(),
    overdueSince: overdue === undefined ? null : new Date(overdue.since).toISOString(),
  };
}
