import type { Database } from './db/client.ts';
import type { InventoryCache } from './inventory/inventory-cache.ts';

/** What handlers work with besides their request. Made once in main, replaced by doubles in tests. */
export interface Services {
  readonly db: Database;
  readonly inventories: InventoryCache;
  /** Epoch milliseconds. */
  readonly clock: () => number;
  /** Whether the service takes new work: false from the moment it was asked to stop. */
  readonly isStopping: () => boolean;
}
