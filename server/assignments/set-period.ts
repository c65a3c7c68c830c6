import type { Tx } from '../db/client.ts';
import type { Assignment } from '../db/generated/client.ts';
import type { Touched } from '../occupancy/derived-uses.ts';

export interface NewPeriod {
  readonly from: number;
  readonly until: number;
  /** Until when the space is kept: the turnover time after `until`. */
  readonly occupiedUntil: number;
}

// A use that began or ended with its assignment still does; one that an outlet's closing cut short stays short.
const statement = `WITH old AS MATERIALIZED (SELECT * FROM assignment WHERE marina_id = $1 AND id = $2),
  space AS (
    UPDATE space_use u SET from_at = $3::timestamptz, until_at = $5::timestamptz
    WHERE u.marina_id = $1 AND u.assignment_id = $2 RETURNING u.unit_id AS id
  ), outlet AS (
    UPDATE outlet_use u SET from_at = CASE WHEN u.from_at <= old.from_at THEN $3::timestamptz ELSE u.from_at END,
      until_at = CASE WHEN u.until_at >= old.until_at THEN $4::timestamptz ELSE least(u.until_at, $4::timestamptz) END
    FROM old WHERE u.marina_id = $1 AND u.assignment_id = $2 RETURNING u.outlet_id AS id
  ), stock AS (
    UPDATE stock_use u SET from_at = CASE WHEN u.from_at <= old.from_at THEN $3::timestamptz ELSE u.from_at END,
      until_at = CASE WHEN u.until_at >= old.until_at THEN $4::timestamptz ELSE least(u.until_at, $4::timestamptz) END
    FROM old WHERE u.marina_id = $1 AND u.assignment_id = $2
  ), moved AS (
    UPDATE assignment a SET from_at = $3::timestamptz, until_at = $4::timestamptz, occupied_until = $5::timestamptz,
      version = a.version + 1
    WHERE a.marina_id = $1 AND a.id = $2
  )
  SELECT coalesce((SELECT json_agg(DISTINCT id) FROM space), '[]') AS "unitIds",
    coalesce((SELECT json_agg(DISTINCT id) FROM outlet), '[]') AS "outletIds"`;

/**
 * Gives an assignment another period, its space, outlets and adapters with it. Nothing is judged here. Returns what it
 * touched, for `rewriteDerivedUses`, which the caller must call.
 */
export async function setPeriod(
  tx: Tx,
  { marinaId, id, fromAt, untilAt }: Assignment,
  { from, until, occupiedUntil }: NewPeriod,
): Promise<Touched> {
  const times = [from, until, occupiedUntil].map((at) => new Date(at).toISOString());
  // A use that began or ended inside the old period and would lie outside the new one.
  const outside = {
    marinaId,
    assignmentId: id,
    OR: [
      { AND: [{ fromAt: { gt: fromAt } }, { fromAt: { gte: new Date(until) } }] },
      { AND: [{ untilAt: { lt: untilAt } }, { untilAt: { lte: new Date(from) } }] },
    ],
  };
  await tx.outletUse.deleteMany({ where: outside });
  await tx.stockUse.deleteMany({ where: outside });
  const rows = await tx.$queryRawUnsafe<Pick<Touched, 'unitIds' | 'outletIds'>[]>(statement, marinaId, id, ...times);
  const { unitIds, outletIds } = rows[0] ?? { unitIds: [], outletIds: [] };
  const changed = [
    ...(from === fromAt.getTime() ? [] : [from, fromAt.getTime()]),
    ...(until === untilAt.getTime() ? [] : [until, untilAt.getTime()]),
  ];
  return { unitIds, outletIds, since: Math.min(...changed, until) };
}
