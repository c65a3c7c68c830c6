import type { Database } from './db/client.ts';
import { createEventHub, type EventHub } from './events/event-hub.ts';
import { createInventoryCache, type InventoryCache } from './inventory/inventory-cache.ts';
import { createLapsedOffers, type LapsedOffers } from './stays/lapsed-offers.ts';

/** What handlers work with besides their request. */
export interface Services {
  readonly db: Database;
  readonly inventories: InventoryCache;
  readonly offers: LapsedOffers;
  readonly events: EventHub;
  /** Epoch milliseconds. */
  readonly clock: () => number;
  /** Whether the service takes new work: false from the moment it was asked to stop. */
  readonly isStopping: () => boolean;
}

const pollEveryMs = 500;

/** Made once in main; tests make their own, with a clock that they set. */
export function createServices({
  db,
  clock,
  isStopping = () => false,
}: Pick<Services, 'db' | 'clock'> & { readonly isStopping?: () => boolean }): Services {
  const offers = createLapsedOffers(db);
  const events = createEventHub(db, offers, { clock, everyMs: pollEveryMs, onError: (error) => console.error(error) });
  return { db, inventories: createInventoryCache(), offers, events, clock, isStopping };
}
