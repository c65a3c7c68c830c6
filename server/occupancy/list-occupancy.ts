import { openEnd, type Period } from '../../core/periods.ts';
import type { Database } from '../db/client.ts';
import { epochMs } from '../db/epoch-ms.ts';
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

type Stored<T extends Use> = Omit<T, 'from' | 'until'> & Period;

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
 * Who has which space and outlets at some time of a period, in the order of the inventory; in one statement.
 * @param dockId null: of all docks
 */
export async function listOccupancy(
  db: Database,
  marinaId: string,
  { from, until }: Period,
  dockId: string | null,
): Promise<OccupancyList> {
  const answer = await db.pool.query<{ spaces: Stored<OccupiedSpace>[]; outlets: Stored<OccupiedOutlet>[] }>(
    statement,
    [marinaId, new Date(from).toISOString(), new Date(until).toISOString(), dockId],
  );
  const { spaces, outlets } = answer.rows[0] ?? { spaces: [], outlets: [] };
  return { spaces: spaces.map(printed), outlets: outlets.map(printed) };
}

function printed<Row extends Period>({ from, until, ...rest }: Row) {
  return {
    ...rest,
    from: new Date(from).toISOString(),
    until: until >= openEnd ? null : new Date(until).toISOString(),
  };
}
