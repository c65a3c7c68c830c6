import type { Finding } from '../../core/findings.ts';
import type { AdapterStock, Inventory } from '../../core/inventory/inventory.ts';
import type { Tx } from '../db/client.ts';
import { epochMs } from '../db/epoch-ms.ts';
import { localTime } from '../local-time.ts';

interface Lent {
  readonly stockId: string;
  /** Pieces lent or promised at once, where it is most. */
  readonly quantity: number;
  /** Since when it is as many, epoch milliseconds. */
  readonly at: number;
}

// Most are out at the beginning of one of the uses, or now.
const statement = `SELECT DISTINCT ON (t.stock_id) t.stock_id AS "stockId", t.lent AS quantity, ${epochMs('t.at')} AS at
  FROM (
    SELECT u.stock_id, m.at, (
      SELECT sum(o.quantity)::int FROM stock_use o
      WHERE o.marina_id = u.marina_id AND o.stock_id = u.stock_id AND o.from_at <= m.at AND o.until_at > m.at
    ) AS lent
    FROM stock_use u, LATERAL (SELECT greatest(u.from_at, to_timestamp($2::float8 / 1000)) AS at) m
    WHERE u.marina_id = $1 AND u.until_at > to_timestamp($2::float8 / 1000) AND u.stock_id = ANY($3::text[])
  ) t ORDER BY t.stock_id, t.lent DESC, t.at`;

export const lentBeyondStockCheck = {
  name: 'stock.lentBeyond',
  looksFor: 'adapters of which more are lent or promised at once, now or later, than the dock has',
} as const;

/** Stocks that hold fewer pieces than are lent or promised: an adapter broke or was lost, and somebody will miss it. */
export async function findLentBeyondStock(
  db: Tx,
  marinaId: string,
  { adapterStock, timeZone }: Inventory,
  now: number,
): Promise<Finding[]> {
  const ids = adapterStock.map(({ id }) => id);
  if (ids.length === 0) return [];
  const lent = await db.$queryRawUnsafe<Lent[]>(statement, marinaId, now, ids);
  const most = new Map(lent.map((row) => [row.stockId, row]));
  return adapterStock.flatMap((stock) => {
    const row = most.get(stock.id);
    return row === undefined || row.quantity <= stock.quantity ? [] : [findingOf(stock, row, timeZone)];
  });
}

function findingOf({ id, label, quantity }: AdapterStock, lent: Lent, timeZone: string): Finding {
  return {
    rule: lentBeyondStockCheck.name,
    level: 'caution',
    subject: { kind: 'adapter', id, label },
    actual: lent.quantity,
    limit: quantity,
    unit: 'piece',
    source: "the dock's adapter stock",
    message: `From ${localTime(lent.at, timeZone)} on, ${lent.quantity} of "${label}" are lent or promised; the dock has ${quantity}. Judge the stays that count on one again, or get more.`,
    mend: `${lent.quantity - quantity} more of "${label}"`,
  };
}
