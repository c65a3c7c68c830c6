import type { Tx } from '../server/db/client.ts';

/** Column and its SQL type. */
export type Columns = Readonly<Record<string, string>>;

export const boatColumns: Columns = { id: 'text', name: 'text', facts: 'jsonb', created_at: 'timestamptz' };
export const holdingColumns: Columns = {
  id: 'text',
  berth_id: 'text',
  boat_id: 'text',
  holder_name: 'text',
  from_at: 'timestamptz',
  until_at: 'timestamptz',
  outlets: 'jsonb',
};
export const absenceColumns: Columns = {
  id: 'text',
  holding_id: 'text',
  from_at: 'timestamptz',
  until_at: 'timestamptz',
};
export const stayColumns: Columns = {
  id: 'text',
  boat_id: 'text',
  contact_name: 'text',
  contact_phone: 'text',
  arrival_at: 'timestamptz',
  departure_at: 'timestamptz',
  state: 'text',
  wishes: 'jsonb',
  note: 'text',
  turned_away_reasons: 'jsonb',
  created_at: 'timestamptz',
};
export const assignmentColumns: Columns = {
  id: 'text',
  stay_id: 'text',
  berth_id: 'text',
  face_from_m: 'float8',
  face_until_m: 'float8',
  orientation: 'text',
  from_at: 'timestamptz',
  until_at: 'timestamptz',
  occupied_until: 'timestamptz',
  hook_up: 'jsonb',
  findings: 'jsonb',
  verdict: 'text',
  overrides: 'jsonb',
  rules_edition: 'text',
  inventory_revision: 'bigint',
  created_at: 'timestamptz',
};
const usePeriod: Columns = { from_at: 'timestamptz', until_at: 'timestamptz', assignment_id: 'text' };
export const spaceUseColumns: Columns = { unit_id: 'text', from_m: 'float8', until_m: 'float8', ...usePeriod };
export const outletUseColumns: Columns = { outlet_id: 'text', stated_va: 'float8', ...usePeriod };
export const stockUseColumns: Columns = { stock_id: 'text', quantity: 'integer', ...usePeriod };

/** Inserts rows of one table in one statement, inside the caller's transaction. Rows are keyed by column. */
export async function bulkInsert(
  tx: Tx,
  marinaId: string,
  table: string,
  columns: Columns,
  rows: readonly Readonly<Record<string, unknown>>[],
): Promise<void> {
  if (rows.length === 0) return;
  const names = Object.keys(columns);
  const sql = `INSERT INTO ${table} (marina_id, ${names.join(', ')})
    SELECT $1, ${names.map((name) => `r.${name}`).join(', ')}
    FROM jsonb_to_recordset($2::jsonb) AS r(${names.map((name) => `${name} ${columns[name]}`).join(', ')})`;
  await tx.$executeRawUnsafe(sql, marinaId, JSON.stringify(rows));
}

export function instant(at: number): string {
  return new Date(at).toISOString();
}
