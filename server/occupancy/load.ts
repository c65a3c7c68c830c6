import type { OutletUse, SpaceUse, StockUse } from '../../core/berths/occupancy.ts';
import type { Period } from '../../core/periods.ts';
import type { Prisma } from '../db/generated/client.ts';

/** Everything that has space, an outlet or an adapter at some moment of a period. */
export interface Occupancy {
  readonly spaceUses: readonly SpaceUse[];
  readonly outletUses: readonly OutletUse[];
  readonly stockUses: readonly StockUse[];
}

const from = `(extract(epoch FROM u.from_at) * 1000)::float8`;
const until = `(extract(epoch FROM u.until_at) * 1000)::float8`;

const usedBy = `json_build_object(
    'kind', CASE WHEN u.assignment_id IS NOT NULL THEN 'assignment' WHEN u.holding_id IS NOT NULL THEN 'holding'
                 ELSE 'outOfService' END,
    'id', coalesce(u.assignment_id, u.holding_id, u.out_of_service_id),
    'label', coalesce(b.name, h.holder_name, o.reason))`;

const usersJoined = `LEFT JOIN assignment a ON a.marina_id = u.marina_id AND a.id = u.assignment_id
    LEFT JOIN stay s ON s.marina_id = a.marina_id AND s.id = a.stay_id
    LEFT JOIN boat b ON b.marina_id = s.marina_id AND b.id = s.boat_id
    LEFT JOIN holding h ON h.marina_id = u.marina_id AND h.id = u.holding_id
    LEFT JOIN out_of_service o ON o.marina_id = u.marina_id AND o.id = u.out_of_service_id`;

const inPeriod = `u.marina_id = $1 AND tstzrange(u.from_at, u.until_at, '[)')
    && tstzrange(to_timestamp($2::float8 / 1000), to_timestamp($3::float8 / 1000), '[)')`;

// Ordered by what the rows say, not by their ids: the same occupancy gives the same answer in every database.
const statement = `SELECT
    (SELECT coalesce(json_agg(json_build_object('unitId', u.unit_id, 'fromM', u.from_m, 'untilM', u.until_m,
        'from', ${from}, 'until', ${until}, 'by', ${usedBy}) ORDER BY u.from_at, u.unit_id, u.from_m), '[]')
      FROM space_use u ${usersJoined} WHERE ${inPeriod}) AS "spaceUses",
    (SELECT coalesce(json_agg(json_build_object('outletId', u.outlet_id, 'statedVa', u.stated_va,
        'from', ${from}, 'until', ${until}, 'by', ${usedBy}) ORDER BY u.from_at, u.outlet_id), '[]')
      FROM outlet_use u ${usersJoined} WHERE ${inPeriod}) AS "outletUses",
    (SELECT coalesce(json_agg(json_build_object('stockId', u.stock_id, 'quantity', u.quantity,
        'from', ${from}, 'until', ${until}, 'assignmentId', u.assignment_id) ORDER BY u.from_at, u.stock_id), '[]')
      FROM stock_use u WHERE ${inPeriod}) AS "stockUses"`;

/** Occupancy of a marina over a period, in one statement and so of one moment. */
export async function loadOccupancy(
  db: Prisma.TransactionClient,
  marinaId: string,
  period: Period,
): Promise<Occupancy> {
  const rows = await db.$queryRawUnsafe<Occupancy[]>(statement, marinaId, period.from, period.until);
  return rows[0] ?? { spaceUses: [], outletUses: [], stockUses: [] };
}
