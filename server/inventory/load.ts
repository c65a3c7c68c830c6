import type { Inventory } from '../../core/inventory/inventory.ts';
import type { Prisma } from '../db/generated/client.ts';
import {
  type AnyTable,
  adapterKindTable,
  adapterStockTable,
  berthReachTable,
  berthTable,
  berthUnitTable,
  columnOf,
  dockTable,
  equipmentTable,
  outletTable,
  pedestalTable,
  practiceTable,
  spaceUnitTable,
} from './tables.ts';

/** An inventory as stored, with the revision that names this state of it. */
export interface StoredInventory {
  readonly revision: number;
  readonly inventory: Inventory;
}

/** SQL for the pairs of `json_build_object`: every property of one row by its name. */
function pairs(table: AnyTable, alias: string): string {
  return Object.keys(table.columns)
    .map((property) => `'${property}', ${alias}.${columnOf(property)}`)
    .join(', ');
}

function listOf(table: AnyTable, alias: string): string {
  return `(SELECT coalesce(json_agg(json_build_object(${pairs(table, alias)}) ORDER BY ${alias}.position, ${alias}.id), '[]')
    FROM ${table.name} ${alias} WHERE ${alias}.marina_id = m.id AND ${alias}.retired_at IS NULL)`;
}

const berths = `(SELECT coalesce(json_agg(json_build_object(${pairs(berthTable, 'b')},
      'unitIds', (SELECT coalesce(json_agg(u.unit_id ORDER BY u.position), '[]') FROM ${berthUnitTable.name} u
        WHERE u.marina_id = b.marina_id AND u.berth_id = b.id),
      'reaches', (SELECT coalesce(json_agg(json_build_object('outletId', r.outlet_id, 'alongM', r.along_m,
          'acrossM', r.across_m, 'detourM', r.detour_m) ORDER BY r.position), '[]') FROM ${berthReachTable.name} r
        WHERE r.marina_id = b.marina_id AND r.berth_id = b.id)) ORDER BY b.position, b.id), '[]')
    FROM ${berthTable.name} b WHERE b.marina_id = m.id AND b.retired_at IS NULL)`;

// One statement, so that the answer is of one moment without a transaction around it.
const statement = `SELECT m.inventory_revision AS revision, json_build_object(
    'name', m.name, 'timeZone', m.time_zone, 'settings', m.settings,
    'practices', ${listOf(practiceTable, 'p')},
    'adapterKinds', ${listOf(adapterKindTable, 'k')},
    'docks', ${listOf(dockTable, 'd')},
    'equipment', ${listOf(equipmentTable, 'e')},
    'pedestals', ${listOf(pedestalTable, 'ped')},
    'outlets', ${listOf(outletTable, 'o')},
    'spaceUnits', ${listOf(spaceUnitTable, 's')},
    'berths', ${berths},
    'adapterStock', ${listOf(adapterStockTable, 'a')}
  ) AS inventory FROM marina m WHERE m.id = $1`;

/** The marina's inventory without what is retired, or null where there is no such marina. */
export async function loadInventory(db: Prisma.TransactionClient, marinaId: string): Promise<StoredInventory | null> {
  const rows = await db.$queryRawUnsafe<{ revision: bigint; inventory: Inventory }[]>(statement, marinaId);
  const row = rows[0];
  return row === undefined ? null : { revision: Number(row.revision), inventory: row.inventory };
}

/** The number of the marina's present inventory, or null where there is no such marina: the key of any cache of it. */
export async function loadInventoryRevision(db: Prisma.TransactionClient, marinaId: string): Promise<number | null> {
  const rows = await db.$queryRaw<{ revision: bigint }[]>`SELECT inventory_revision AS revision FROM marina
    WHERE id = ${marinaId}`;
  return rows[0] === undefined ? null : Number(rows[0].revision);
}
