import type { InventoryIndex } from '../../core/inventory/index-inventory.ts';
import type { Tx } from '../db/client.ts';
import type { Assignment } from '../db/generated/client.ts';
import type { Touched } from './derived-uses.ts';

/** Where an assignment ends early. One that has not begun by `at` goes altogether. */
export interface Cut {
  readonly assignmentId: string;
  /** New end of the assignment and of its outlets and adapters, epoch milliseconds. */
  readonly at: number;
  /** Until when it still keeps its space (turnover); `at` where somebody else lies there from then on. */
  readonly occupiedUntil: number;
}

const cutUses = (table: string, column: string, bound: 'at' | 'occupiedUntil') => `
  ${table}_gone AS (
    DELETE FROM ${table} u USING cut WHERE u.marina_id = $1 AND u.assignment_id = cut."assignmentId"
      AND (u.from_at >= cut."${bound}" OR cut.whole) RETURNING u.${column} AS id
  ), ${table}_cut AS (
    UPDATE ${table} u SET until_at = cut."${bound}" FROM cut
    WHERE u.marina_id = $1 AND u.assignment_id = cut."assignmentId" AND NOT cut.whole
      AND u.from_at < cut."${bound}" AND u.until_at > cut."${bound}" RETURNING u.${column} AS id
  )`;

const statement = `WITH cut AS MATERIALIZED (
    SELECT r.*, a.from_at >= r.at AS whole
    FROM jsonb_to_recordset($2::jsonb) AS r("assignmentId" text, at timestamptz, "occupiedUntil" timestamptz)
    JOIN assignment a ON a.marina_id = $1 AND a.id = r."assignmentId"
  ), ${cutUses('space_use', 'unit_id', 'occupiedUntil')}, ${cutUses('outlet_use', 'outlet_id', 'at')},
  ${cutUses('stock_use', 'stock_id', 'at')}, assignment_gone AS (
    DELETE FROM assignment a USING cut WHERE a.marina_id = $1 AND a.id = cut."assignmentId" AND cut.whole
  ), assignment_cut AS (
    UPDATE assignment a SET until_at = least(a.until_at, cut.at), version = a.version + 1,
      occupied_until = least(a.occupied_until, cut."occupiedUntil")
    FROM cut WHERE a.marina_id = $1 AND a.id = cut."assignmentId" AND NOT cut.whole
  )
  SELECT
    (SELECT coalesce(json_agg(DISTINCT id), '[]')
      FROM (SELECT id FROM space_use_gone UNION ALL SELECT id FROM space_use_cut) s) AS "unitIds",
    (SELECT coalesce(json_agg(DISTINCT id), '[]')
      FROM (SELECT id FROM outlet_use_gone UNION ALL SELECT id FROM outlet_use_cut) o) AS "outletIds"`;

/**
 * Ends assignments early: their space, outlets and lent adapters with them. What lies before the cut stays as it was.
 * Cut an assignment once in a call. Returns what it touched, for `rewriteDerivedUses`, which the caller must call.
 */
export async function cutAssignments(tx: Tx, marinaId: string, cuts: readonly Cut[]): Promise<Touched> {
  const since = Math.min(...cuts.map(({ at }) => at));
  if (cuts.length === 0) return { unitIds: [], outletIds: [], since };
  const stored = cuts.map(({ assignmentId, at, occupiedUntil }) => ({
    assignmentId,
    at: new Date(at).toISOString(),
    occupiedUntil: new Date(occupiedUntil).toISOString(),
  }));
  const rows = await tx.$queryRawUnsafe<Pick<Touched, 'unitIds' | 'outletIds'>[]>(
    statement,
    marinaId,
    JSON.stringify(stored),
  );
  const { unitIds, outletIds } = rows[0] ?? { unitIds: [], outletIds: [] };
  return { unitIds, outletIds, since };
}

/**
 * The cut of an assignment whose boat goes to another berth: its place is kept for the turnover time where the boat lay
 * there, unless it takes part of that same place anew.
 */
export function leave(index: InventoryIndex, assignment: Assignment, at: number, toBerthId: string): Cut {
  const unitsOf = (berthId: string) => index.berths.get(berthId)?.unitIds ?? [];
  const isSamePlace = unitsOf(assignment.berthId).some((unitId) => unitsOf(toBerthId).includes(unitId));
  const turnoverMs = index.inventory.settings.turnoverMinutes * 60_000;
  const lay = assignment.fromAt.getTime() < at;
  return { assignmentId: assignment.id, at, occupiedUntil: lay && !isSamePlace ? at + turnoverMs : at };
}
