import type { Berth, Inventory } from '../../core/inventory/inventory.ts';
import type { Prisma } from '../db/generated/client.ts';
import {
  adapterKindTable,
  adapterStockTable,
  type BerthReachRow,
  type BerthUnitRow,
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
  type Table,
} from './tables.ts';

type Db = Prisma.TransactionClient;

/**
 * Stores `after` in place of `before` (empty lists for a new marina), inside the caller's marina transaction. What is
 * no longer listed is retired, never deleted: stays of the past go on referring to it.
 */
export async function saveInventory(db: Db, marinaId: string, before: Inventory, after: Inventory): Promise<void> {
  await db.marina.update({
    where: { id: marinaId },
    data: { name: after.name, timeZone: after.timeZone, settings: { ...after.settings } },
  });
  await saveList(db, marinaId, practiceTable, before.practices, after.practices);
  await saveList(db, marinaId, adapterKindTable, before.adapterKinds, after.adapterKinds);
  await saveList(db, marinaId, dockTable, before.docks, after.docks);
  await saveList(db, marinaId, equipmentTable, before.equipment, after.equipment);
  await saveList(db, marinaId, pedestalTable, before.pedestals, after.pedestals);
  await saveList(db, marinaId, outletTable, before.outlets, after.outlets);
  await saveList(db, marinaId, spaceUnitTable, before.spaceUnits, after.spaceUnits);
  await saveList(db, marinaId, berthTable, before.berths, after.berths);
  await saveBerthParts(db, marinaId, before.berths, after.berths);
  await saveList(db, marinaId, adapterStockTable, before.adapterStock, after.adapterStock);
}

async function saveList<Item extends { readonly id: string }>(
  db: Db,
  marinaId: string,
  table: Table<Item>,
  before: readonly Item[],
  after: readonly Item[],
): Promise<void> {
  const stored = new Map(before.map((item, position) => [item.id, asText(table, item, position)]));
  const changed = after
    .map((item, position) => ({ ...item, position }))
    .filter((item) => stored.get(item.id) !== asText(table, item, item.position));
  await upsert(db, marinaId, table, changed);

  const kept = new Set(after.map((item) => item.id));
  const gone = before.filter((item) => !kept.has(item.id)).map((item) => item.id);
  if (gone.length > 0) {
    const sql = `UPDATE ${table.name} SET retired_at = now() WHERE marina_id = $1 AND id = ANY($2)`;
    await db.$executeRawUnsafe(sql, marinaId, gone);
  }
}

/** The stored columns of an item in one order, to see whether anything that is stored has changed. */
function asText<Item>(table: Table<Item>, item: Item, position: number): string {
  return JSON.stringify([position, ...propertiesOf(table).map((property) => sorted(item[property]))]);
}

function propertiesOf<Item>(table: Table<Item>): (keyof Item & string)[] {
  return Object.keys(table.columns) as (keyof Item & string)[];
}

/** The same value with the keys of every object in one order: jsonb gives them back in its own. */
function sorted(value: unknown): unknown {
  if (Array.isArray(value)) return value.map(sorted);
  if (typeof value !== 'object' || value === null) return value;
  return Object.fromEntries(
    Object.entries(value)
      .sort(([a], [b]) => (a < b ? -1 : 1))
      .map(([key, part]) => [key, sorted(part)]),
  );
}

async function upsert<Item>(db: Db, marinaId: string, table: Table<Item>, items: readonly Item[]): Promise<void> {
  if (items.length === 0) return;
  const properties = propertiesOf(table);
  const columns = [...properties.map(columnOf), 'position'];
  const fields = [...properties.map((property) => `"${property}" ${table.columns[property]}`), '"position" integer'];
  const sql = `INSERT INTO ${table.name} (marina_id, ${columns.join(', ')})
    SELECT $1, ${[...properties, 'position'].map((property) => `r."${property}"`).join(', ')}
    FROM jsonb_to_recordset($2::jsonb) AS r(${fields.join(', ')})
    ON CONFLICT (marina_id, id) DO UPDATE SET retired_at = NULL,
      ${columns.map((column) => `${column} = excluded.${column}`).join(', ')}`;
  await db.$executeRawUnsafe(sql, marinaId, JSON.stringify(items));
}

/** Units and reaches belong to their berth: a changed berth's rows are written anew. */
async function saveBerthParts(db: Db, marinaId: string, before: readonly Berth[], after: readonly Berth[]) {
  const stored = new Map(before.map((berth) => [berth.id, partsAsText(berth)]));
  const changed = after.filter((berth) => stored.get(berth.id) !== partsAsText(berth));
  if (changed.length === 0) return;
  const ids = changed.map((berth) => berth.id);
  for (const table of [berthUnitTable, berthReachTable]) {
    await db.$executeRawUnsafe(`DELETE FROM ${table.name} WHERE marina_id = $1 AND berth_id = ANY($2)`, marinaId, ids);
  }
  await insert<BerthUnitRow>(
    db,
    marinaId,
    berthUnitTable,
    changed.flatMap((berth) => berth.unitIds.map((unitId, position) => ({ berthId: berth.id, unitId, position }))),
  );
  await insert<BerthReachRow>(
    db,
    marinaId,
    berthReachTable,
    changed.flatMap((berth) => berth.reaches.map((reach, position) => ({ berthId: berth.id, ...reach, position }))),
  );
}

function partsAsText(berth: Berth): string {
  return JSON.stringify([berth.unitIds, berth.reaches.map((r) => [r.outletId, r.alongM, r.acrossM, r.detourM])]);
}

async function insert<Row>(db: Db, marinaId: string, table: Table<Row>, rows: readonly Row[]): Promise<void> {
  if (rows.length === 0) return;
  const properties = propertiesOf(table);
  const sql = `INSERT INTO ${table.name} (marina_id, ${properties.map(columnOf).join(', ')})
    SELECT $1, ${properties.map((property) => `r."${property}"`).join(', ')}
    FROM jsonb_to_recordset($2::jsonb)
      AS r(${properties.map((property) => `"${property}" ${table.columns[property]}`).join(', ')})`;
  await db.$executeRawUnsafe(sql, marinaId, JSON.stringify(rows));
}
