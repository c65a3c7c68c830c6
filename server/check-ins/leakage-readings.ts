import type { Prisma } from '../db/generated/client.ts';

/** A leakage current as it was last read at a check-in. */
export interface StoredReading {
  readonly leakageMa: number;
  /** Epoch milliseconds. */
  readonly takenAt: number;
  readonly loadsOn: boolean | null;
}

type Row = StoredReading & { readonly assignmentId: string; readonly outletId: string };

const statement = `SELECT a.id AS "assignmentId", reading ->> 'outletId' AS "outletId",
    (reading ->> 'value')::float8 AS "leakageMa", round(date_part('epoch', e.at) * 1000) AS "takenAt",
    (e.body ->> 'loadsOn')::boolean AS "loadsOn"
  FROM stay s
    JOIN assignment a ON a.marina_id = s.marina_id AND a.stay_id = s.id
    JOIN dock_event e ON e.marina_id = s.marina_id AND e.stay_id = s.id AND e.kind = 'checkIn'
    CROSS JOIN LATERAL jsonb_array_elements(e.body -> 'readings') reading
  WHERE s.marina_id = $1 AND s.state = 'arrived' AND (e.body ->> 'energised')::boolean
    AND reading ->> 'name' = 'leakageMa' AND reading ->> 'value' IS NOT NULL
  ORDER BY e.at, e.seq`;

export const readingKey = (assignmentId: string, outletId: string): string => `${assignmentId} ${outletId}`;

/** The last leakage reading of every boat that is here, at each outlet that it was read at, by `readingKey`. */
export async function leakageReadings(
  db: Prisma.TransactionClient,
  marinaId: string,
): Promise<ReadonlyMap<string, StoredReading>> {
  const rows = await db.$queryRawUnsafe<Row[]>(statement, marinaId);
  return new Map(
    rows.map(({ assignmentId, outletId, ...reading }) => [readingKey(assignmentId, outletId), reading] as const),
  );
}
