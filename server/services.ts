import { type Background, createBackground } from './background.ts';
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
  readonly background: Background;
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
  const onError = (error: unknown) => console.error(error);
  const events = createEventHub(db, offers, { clock, everyMs: pollEveryMs, onError });
  const background = createBackground(onError);
  return { db, inventories: createInventoryCache(), offers, events, background, clock, isStopping };
}
