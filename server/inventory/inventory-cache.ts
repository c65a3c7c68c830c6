import { type InventoryIndex, indexInventory } from '../../core/inventory/index-inventory.ts';
import type { Tx } from '../db/client.ts';
import { Problem } from '../errors.ts';
import { loadInventory, loadInventoryRevision } from './load.ts';

export interface IndexedInventory {
  readonly revision: number;
  readonly index: InventoryIndex;
}

/** Inventories with their look-ups, kept on this replica for as long as their revision is the marina's present one. */
export interface InventoryCache {
  /**
   * The marina's present inventory: one read by key, and a load only where the revision has changed. `db` is the
   * client, or the transaction inside one. In a transaction that writes the inventory, call it before
   * `bumpInventoryRevision`: the new revision exists for others only after the commit.
   * @throws Problem `not-found` where there is no such marina.
   */
  inventoryOf(db: Tx, marinaId: string): Promise<IndexedInventory>;
}

/** Keeps the inventories of the `most` marinas used last, one revision of each. */
export function createInventoryCache(most = 50): InventoryCache {
  const kept = new Map<string, IndexedInventory>();
  const keep = (marinaId: string, found: IndexedInventory) => {
    // A Map runs in the order of insertion: the first key is the one unused for longest.
    kept.delete(marinaId);
    kept.set(marinaId, found);
    const oldest = kept.keys().next();
    if (kept.size > most && !oldest.done) kept.delete(oldest.value);
    return found;
  };
  return {
    inventoryOf: async (db, marinaId) => {
      const revision = await loadInventoryRevision(db, marinaId);
      const known = kept.get(marinaId);
      if (known !== undefined && known.revision === revision) return keep(marinaId, known);
      const stored = await loadInventory(db, marinaId);
      if (stored === null) throw new Problem('not-found', `There is no marina "${marinaId}".`);
      return keep(marinaId, { revision: stored.revision, index: indexInventory(stored.inventory) });
    },
  };
}
