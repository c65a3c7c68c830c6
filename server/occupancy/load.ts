import type { OutletUse, SpaceUse, StockUse } from '../../core/berths/occupancy.ts';
import type { Period } from '../../core/periods.ts';
import { epochMs } from '../db/epoch-ms.ts';
import type { Prisma } from '../db/generated/client.ts';
import { usedBy, usersJoined } from './users-sql.ts';

/** Everything that has space, an outlet or an adapter at some moment of a period. */
export interface Occupancy {
  readonly spaceUses: readonly SpaceUse[];
  readonly outletUses: readonly OutletUse[];
  readonly stockUses: readonly StockUse[];
}

const from = epochMs('u.from_at');
const until = epochMs('u.until_at');

const inPeriod = `u.marina_id = $1 AND tstzrange(u.from_at, u.until_at, '[)')
    && tstzrange(to_timestamp($2::float8 / 1000), to_timestamp($3::float8 / 1000), '[)')`;

// Ordered by what the rows say, not by their ids: the same occupancy gives the same answer in every database.
const statement = `SELECT
    (SELECT coalesce(json_agg(json_build_object('unitId', u.unit_id, 'fromM', u.from_m, 'untilM', u.until_m,
        'from', ${from}, 'until', ${until}, 'by', json_build_object(${usedBy})) ORDER BY u.from_at, u.unit_id, u.from_m), '[]')
      FROM space_use u ${usersJoined} WHERE ${inPeriod}) AS "spaceUses",
    (SELECT coalesce(json_agg(json_build_object('outletId', u.outlet_id, 'statedVa', u.stated_va,
        'from', ${from}, 'until', ${until}, 'by', json_build_object(${usedBy})) ORDER BY u.from_at, u.outlet_id), '[]')
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
