import type { Database, Tx } from '../db/client.ts';
import { marinaTransaction } from '../db/marina-transaction.ts';
import type { InventoryCache } from '../inventory/inventory-cache.ts';
import { releaseLapsedGroups } from './lapsed-groups.ts';
import { withdrawLapsedOffers } from './lapsed-offers.ts';
import { alertOfNotCome, nextNotCome } from './not-come.ts';

/** Makes true what only the clock brings: offers and groups lapse, and the desk is told who has not come. */
export interface Due {
  /** Call it before anything of the marina is read or written. Costs a look at most once a minute. */
  catchUp(marinaId: string, now: number): Promise<void>;
}

// Nothing that another replica writes after a look is due sooner than that; what this one cannot know of may be as late.
const lookAgainMs = 60_000;

export function createDue(db: Database, inventories: InventoryCache): Due {
  const looks = new Map<string, { readonly at: number; readonly until: number }>();
  return {
    catchUp: async (marinaId, now) => {
      const last = looks.get(marinaId);
      if (last !== undefined && last.at <= now && now < last.until) return;
      const { offers, groups } = await readLapses(db, marinaId);
      const notCome = await nextNotCome(db, inventories, marinaId, now);
      const kinds = [
        { kind: 'offers.lapsed', at: offers, act: (tx: Tx) => withdrawLapsedOffers(tx, marinaId, now) },
        { kind: 'group.lapsed', at: groups, act: (tx: Tx) => releaseLapsedGroups(tx, marinaId, now) },
        { kind: 'stays.notCome', at: notCome, act: (tx: Tx) => alertOfNotCome(tx, inventories, marinaId, now) },
      ];
      for (const { kind, at, act } of kinds) {
        if (at === null || at > now) continue;
        // Another replica may have been first: then this change tells of none.
        await marinaTransaction(db, { marinaId, actor: 'service', kind, now }, async ({ tx, recordChange }) => {
          const { before, after } = await act(tx);
          await recordChange(before, after);
        });
      }
      const next = Math.min(...kinds.map(({ at }) => (at === null || at <= now ? Number.POSITIVE_INFINITY : at)));
      looks.set(marinaId, { at: now, until: Math.min(next, now + lookAgainMs) });
    },
  };
}

/** When the first offer and the first group lapse, or have lapsed; null: there is none. */
async function readLapses({ pool }: Database, marinaId: string) {
  const { rows } = await pool.query<{ offers: Date | null; groups: Date | null }>(
    `SELECT (SELECT min(offer_expires_at) FROM stay WHERE marina_id = $1 AND state = 'offered') AS offers,
       (SELECT min(cut_off_at) FROM stay_group WHERE marina_id = $1 AND released_at IS NULL) AS groups`,
    [marinaId],
  );
  return { offers: rows[0]?.offers?.getTime() ?? null, groups: rows[0]?.groups?.getTime() ?? null };
}
