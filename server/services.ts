import { type Background, createBackground } from './background.ts';
import type { Database } from './db/client.ts';
import { createDue, type Due } from './due/due.ts';
import { createEventHub, type EventHub } from './events/event-hub.ts';
import { createInventoryCache, type InventoryCache } from './inventory/inventory-cache.ts';

/** What handlers work with besides their request. */
export interface Services {
  readonly db: Database;
  readonly inventories: InventoryCache;
  readonly due: Due;
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
  const onError = (error: unknown) => console.error(error);
  const inventories = createInventoryCache();
  const due = createDue(db, inventories);
  const events = createEventHub(db, due, { clock, everyMs: pollEveryMs, onError });
  const background = createBackground(onError);
  return { db, inventories, due, events, background, clock, isStopping };
}
