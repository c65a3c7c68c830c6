import type { Database } from '../db/client.ts';
import { marinaTransaction } from '../db/marina-transaction.ts';
import { plainJson } from '../db/plain-json.ts';
import { cutAssignments } from '../occupancy/cut-assignments.ts';
import { rewriteDerivedUses } from '../occupancy/derived-uses.ts';

/** Makes offers that have lapsed true: a stay is a request again, and its berth is free. */
export interface LapsedOffers {
  /** Call it before anything of the marina is read or written. Costs a query at most once a minute. */
  withdraw(marinaId: string, now: number): Promise<void>;
}

// No offer is shorter, so none that another replica makes after a look can lapse before the next look.
const lookAgainMs = 60_000;

/** No timer: an offer lapses when the next request asks about its marina, and nobody can see it lapse later than that. */
export function createLapsedOffers(db: Database): LapsedOffers {
  const looks = new Map<string, { readonly at: number; readonly until: number }>();
  return {
    withdraw: async (marinaId, now) => {
      const last = looks.get(marinaId);
      if (last !== undefined && last.at <= now && now < last.until) return;
      const lapsed = await readLapsed(db, marinaId, now);
      if (lapsed.count > 0) await withdrawLapsed(db, marinaId, now);
      looks.set(marinaId, { at: now, until: Math.min(lapsed.next ?? Number.POSITIVE_INFINITY, now + lookAgainMs) });
    },
  };
}

async function readLapsed(db: Database, marinaId: string, now: number) {
  const { rows } = await db.pool.query<{ count: number; next: Date | null }>(
    `SELECT count(*) FILTER (WHERE offer_expires_at <= $2)::int AS count,
       min(offer_expires_at) FILTER (WHERE offer_expires_at > $2) AS next
     FROM stay WHERE marina_id = $1 AND state = 'offered'`,
    [marinaId, new Date(now)],
  );
  return { count: rows[0]?.count ?? 0, next: rows[0]?.next?.getTime() ?? null };
}

async function withdrawLapsed(db: Database, marinaId: string, now: number): Promise<void> {
  const options = { marinaId, actor: 'service', kind: 'offers.lapsed', now };
  await marinaTransaction(db, options, async ({ tx, recordChange }) => {
    // Another replica may have been first: then this change tells of none.
    const stays = await tx.stay.findMany({
      where: { marinaId, state: 'offered', offerExpiresAt: { lte: new Date(now) } },
      include: { assignments: true },
      orderBy: { id: 'asc' },
    });
    const cuts = stays.flatMap(({ assignments }) =>
      assignments.map(({ id, fromAt }) => ({
        assignmentId: id,
        at: fromAt.getTime(),
        occupiedUntil: fromAt.getTime(),
      })),
    );
    await rewriteDerivedUses(tx, marinaId, await cutAssignments(tx, marinaId, cuts));
    const stayIds = stays.map(({ id }) => id);
    await tx.stay.updateMany({
      where: { marinaId, id: { in: stayIds } },
      data: { state: 'requested', offerExpiresAt: null, version: { increment: 1 } },
    });
    await recordChange(plainJson({ stays }), { stayIds });
  });
}
