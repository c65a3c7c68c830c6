import type { Tx } from '../db/client.ts';

/** Tables whose rows a change keeps for undo, those first that others refer to. */
export const keptTables = [
  'boat',
  'stay_group',
  'stay',
  'holding',
  'absence',
  'out_of_service',
  'assignment',
  'space_use',
  'outlet_use',
  'stock_use',
] as const;
export type KeptTable = (typeof keptTables)[number];

/** A row as the database writes it. */
export type Image = Readonly<Record<string, unknown>>;

/** What a change did to one row: `before` null: it made it; `after` null: it took it away. */
export interface KeptRow {
  readonly table: KeptTable;
  readonly id: string;
  readonly before: Image | null;
  readonly after: Image | null;
}

/** What a change did, row by row; a row that it left as it was is left out. */
export async function readKeptRows(tx: Tx, marinaId: string, seq: number): Promise<KeptRow[]> {
  return tx.$queryRaw<KeptRow[]>`SELECT * FROM (
      SELECT table_name AS table, row_id AS id, (array_agg(before ORDER BY id))[1] AS before,
        (array_agg(after ORDER BY id DESC))[1] AS after
      FROM change_row WHERE marina_id = ${marinaId} AND seq = ${seq} GROUP BY table_name, row_id
    ) net WHERE before IS DISTINCT FROM after ORDER BY "table", id`;
}

/** A change that stands in the way of an undo. */
export interface LaterChange {
  readonly seq: number;
  readonly kind: string;
  /** The change that it undid, where it is an undo. */
  readonly undoes: number | null;
}

/** Later changes of the same rows, oldest first; those that were undone since, and the undos themselves, left out. */
export async function laterChanges(tx: Tx, marinaId: string, seq: number): Promise<LaterChange[]> {
  const later = await tx.$queryRaw<LaterChange[]>`
    SELECT c.seq::int AS seq, c.kind, CASE WHEN c.kind = 'change.undone' THEN (c.after ->> 'undoes')::int END AS undoes
    FROM change c WHERE c.marina_id = ${marinaId} AND c.seq > ${seq} AND EXISTS (
      SELECT FROM change_row r JOIN change_row own ON own.marina_id = r.marina_id AND own.table_name = r.table_name
        AND own.row_id = r.row_id AND own.seq = ${seq}
      WHERE r.marina_id = c.marina_id AND r.seq = c.seq)
    ORDER BY c.seq`;
  return standing(later);
}

/** Changes that still count: an undo takes its change with it, unless it was undone itself. */
export function standing(changes: readonly LaterChange[]): LaterChange[] {
  const gone = new Set<number>();
  for (const { seq, undoes } of [...changes].reverse()) {
    if (undoes === null || gone.has(seq)) continue;
    gone.add(seq).add(undoes);
  }
  return changes.filter(({ seq }) => !gone.has(seq));
}

/** Puts the rows back as they were before. A row that has a version gets a new one: what was read of it is stale. */
export async function putBack(tx: Tx, marinaId: string, rows: readonly KeptRow[]): Promise<void> {
  const parentsFirst = keptTables.flatMap((table) => rows.filter((row) => row.table === table));
  for (const { table, id, before } of [...parentsFirst].reverse()) {
    if (before === null)
      await tx.$executeRawUnsafe(`DELETE FROM ${table} WHERE marina_id = $1 AND id::text = $2`, marinaId, id);
  }
  for (const { table, id, before, after } of parentsFirst) {
    if (before === null) continue;
    const version = 'version' in before ? { version: Number(after?.version ?? before.version) + 1 } : {};
    const image = JSON.stringify({ ...before, ...version });
    // The names of tables and columns are the database's own.
    const columns = Object.keys(before)
      .map((name) => `"${name}"`)
      .join(', ');
    await tx.$executeRawUnsafe(
      after === null
        ? `INSERT INTO ${table} (${columns}) SELECT ${columns} FROM jsonb_populate_record(NULL::${table}, $1::jsonb)`
        : `UPDATE ${table} SET (${columns}) = (SELECT ${columns} FROM jsonb_populate_record(NULL::${table}, $1::jsonb))
           WHERE marina_id = $2 AND id::text = $3`,
      image,
      ...(after === null ? [] : [marinaId, id]),
    );
  }
}
