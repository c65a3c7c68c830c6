import type { OutletUse, SpaceUse, StockUse, UsedBy } from '../../core/berths/occupancy.ts';
import type { Period } from '../../core/periods.ts';
import type { Prisma } from '../db/generated/client.ts';

/** Everything that has space, an outlet or an adapter at some moment of a period. */
export interface Occupancy {
  readonly spaceUses: readonly SpaceUse[];
  readonly outletUses: readonly OutletUse[];
  readonly stockUses: readonly StockUse[];
}

/** Rows as columns: a thousand uses cost a fraction of what a thousand JSON objects do. */
type Columns<Row> = { readonly [Column in keyof Row]: readonly Row[Column][] };

interface UserColumns {
  readonly assignmentId: string | null;
  readonly holdingId: string | null;
  readonly outOfServiceId: string | null;
  readonly groupId: string | null;
}

interface StoredOccupancy {
  readonly space: Columns<Omit<SpaceUse, 'by'> & UserColumns>;
  readonly outlet: Columns<Omit<OutletUse, 'by'> & UserColumns>;
  readonly stock: readonly StockUse[];
  /** Label of each user, by its kind and id. */
  readonly names: Readonly<Record<UsedBy['kind'], Readonly<Record<string, string>>>>;
}

const ms = (column: string) => `round(date_part('epoch', ${column}) * 1000)`;

const inPeriod = `u.marina_id = $1 AND tstzrange(u.from_at, u.until_at, '[)')
    && tstzrange(to_timestamp($2::float8 / 1000), to_timestamp($3::float8 / 1000), '[)')`;

// Ordered by what the rows say, not by their ids: the same occupancy gives the same answer in every database.
const rowsOf = (table: string, columns: string, order: string) => `SELECT ${columns}, u.from_at, u.until_at,
      u.assignment_id, u.holding_id, u.out_of_service_id, ${table === 'space_use' ? 'u.group_id' : 'NULL::text AS group_id'}
    FROM ${table} u WHERE ${inPeriod} ORDER BY u.from_at, ${order}`;

const columnsOf = (cte: string, columns: Readonly<Record<string, string>>) => {
  const all = {
    ...columns,
    from: ms('from_at'),
    until: ms('until_at'),
    assignmentId: 'assignment_id',
    holdingId: 'holding_id',
    outOfServiceId: 'out_of_service_id',
    groupId: 'group_id',
  };
  const pairs = Object.entries(all).map(([name, sql]) => `'${name}', coalesce(json_agg(${sql}), '[]')`);
  return `(SELECT json_build_object(${pairs.join(', ')}) FROM ${cte})`;
};

const idsOf = (column: string) => `(SELECT ${column} AS id FROM space UNION SELECT ${column} FROM outlet) used`;

const namesIn = (
  table: string,
  column: string,
  name: string,
) => `(SELECT coalesce(json_object_agg(n.id, n.${name}), '{}')
      FROM ${idsOf(column)} JOIN ${table} n ON n.marina_id = $1 AND n.id = used.id)`;

// The LIMIT keeps the planner from reading every assignment there ever was where it takes the few of a period for many.
const boatNames = `(SELECT coalesce(json_object_agg(used.id, boat.name), '{}') FROM ${idsOf('assignment_id')}, LATERAL (
      SELECT b.name FROM assignment a JOIN stay s ON s.marina_id = a.marina_id AND s.id = a.stay_id
        JOIN boat b ON b.marina_id = s.marina_id AND b.id = s.boat_id
      WHERE a.marina_id = $1 AND a.id = used.id LIMIT 1) boat)`;

const statement = `WITH
  space AS MATERIALIZED (${rowsOf('space_use', 'u.unit_id, u.from_m, u.until_m', 'u.unit_id, u.from_m')}),
  outlet AS MATERIALIZED (${rowsOf('outlet_use', 'u.outlet_id, u.stated_va', 'u.outlet_id')})
  SELECT
    ${columnsOf('space', { unitId: 'unit_id', fromM: 'from_m', untilM: 'until_m' })} AS space,
    ${columnsOf('outlet', { outletId: 'outlet_id', statedVa: 'stated_va' })} AS outlet,
    (SELECT coalesce(json_agg(json_build_object('stockId', u.stock_id, 'quantity', u.quantity, 'from', ${ms('u.from_at')},
        'until', ${ms('u.until_at')}, 'assignmentId', u.assignment_id) ORDER BY u.from_at, u.stock_id), '[]')
      FROM stock_use u WHERE ${inPeriod}) AS stock,
    json_build_object('assignment', ${boatNames}, 'holding', ${namesIn('holding', 'holding_id', 'holder_name')},
      'outOfService', ${namesIn('out_of_service', 'out_of_service_id', 'reason')},
      'group', ${namesIn('stay_group', 'group_id', 'name')}) AS names`;

/** Occupancy of a marina over a period, in one statement and so of one moment. */
export async function loadOccupancy(
  db: Prisma.TransactionClient,
  marinaId: string,
  period: Period,
): Promise<Occupancy> {
  const [stored] = await db.$queryRawUnsafe<StoredOccupancy[]>(statement, marinaId, period.from, period.until);
  if (stored === undefined) throw new Error('a statement without FROM gave no row');
  const { space, outlet, stock, names } = stored;
  const spaceUsers = usersOf(space, names);
  const outletUsers = usersOf(outlet, names);
  return {
    spaceUses: space.unitId.map((unitId, row) => ({
      unitId,
      fromM: at(space.fromM, row),
      untilM: at(space.untilM, row),
      from: at(space.from, row),
      until: at(space.until, row),
      by: at(spaceUsers, row),
    })),
    outletUses: outlet.outletId.map((outletId, row) => ({
      outletId,
      statedVa: at(outlet.statedVa, row),
      from: at(outlet.from, row),
      until: at(outlet.until, row),
      by: at(outletUsers, row),
    })),
    stockUses: stock,
  };
}

function usersOf(columns: Columns<UserColumns>, names: StoredOccupancy['names']): UsedBy[] {
  const kinds = [
    ['assignment', columns.assignmentId],
    ['holding', columns.holdingId],
    ['outOfService', columns.outOfServiceId],
    ['group', columns.groupId],
  ] as const;
  return columns.assignmentId.map((_, row) => {
    for (const [kind, ids] of kinds) {
      const id = at(ids, row);
      if (id !== null) return userOf(names, kind, id);
    }
    throw new Error(`nobody has row ${row} of the space or outlets in use`);
  });
}

function userOf(names: StoredOccupancy['names'], kind: UsedBy['kind'], id: string): UsedBy {
  const label = names[kind][id];
  if (label === undefined) throw new Error(`${kind} "${id}" uses space or an outlet but is not stored`);
  return { kind, id, label };
}

function at<T>(column: readonly T[], row: number): T {
  if (row >= column.length) throw new Error(`a column of occupancy ends before row ${row}`);
  return column[row] as T;
}
