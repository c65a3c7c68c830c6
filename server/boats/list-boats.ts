import type { Tx } from '../db/client.ts';
import type { Boat } from '../db/generated/client.ts';

export interface AskedBoats {
  /** How their names begin, in capitals or not; null: all. */
  readonly name: string | null;
  /** The boat after which the page begins; null: the first page. */
  readonly afterId: string | null;
  readonly most: number;
}

// By code point, so that the order does not hang on the database's language; the index has the same expression.
const order = 'lower(b.name) COLLATE "C", b.id';

/** Boats that are not retired, by name. */
export function listBoats(db: Tx, marinaId: string, { name, afterId, most }: AskedBoats): Promise<Boat[]> {
  const values: (string | number)[] = [marinaId, most];
  const given = (value: string) => `$${values.push(value)}::text`;
  const begins = name === null ? '' : `AND lower(b.name) COLLATE "C" LIKE lower(${given(literal(name))}) || '%'`;
  const after =
    afterId === null
      ? ''
      : `AND (${order}) > (SELECT ${order} FROM boat b WHERE b.marina_id = $1 AND b.id = ${given(afterId)})`;
  const statement = `SELECT b.marina_id AS "marinaId", b.id, b.name, b.facts, b.version, b.created_at AS "createdAt",
      b.retired_at AS "retiredAt"
    FROM boat b WHERE b.marina_id = $1 AND b.retired_at IS NULL ${begins} ${after} ORDER BY ${order} LIMIT $2`;
  return db.$queryRawUnsafe<Boat[]>(statement, ...values);
}

/** What people type stands for itself. */
function literal(text: string): string {
  return text.replaceAll(/[\\%_]/g, '\\$&');
}
