import { type InventoryIndex, indexInventory } from '../../core/inventory/index-inventory.ts';
import type { Inventory } from '../../core/inventory/inventory.ts';
import { inventorySchema } from '../inventory/schema.ts';
import type { Api } from './api-door.ts';

// The API answers the same object for as long as the revision stays.
const indexed = new WeakMap<Inventory, InventoryIndex>();

/** The marina's inventory with its look-ups, and the version for changes of it. */
export async function inventoryOf(api: Api): Promise<{ readonly index: InventoryIndex; readonly version: number }> {
  const { body, version } = await api.ask('readInventory', inventorySchema);
  const known = indexed.get(body) ?? indexInventory(body);
  indexed.set(body, known);
  return { index: known, version: version ?? 0 };
}
