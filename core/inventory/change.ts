import type { Inventory } from './inventory.ts';

/** The lists of an inventory document. Items of each have an id of their own. */
export const inventoryCollections = [
  'practices',
  'adapterKinds',
  'docks',
  'equipment',
  'pedestals',
  'outlets',
  'spaceUnits',
  'berths',
  'adapterStock',
] as const;

export type InventoryCollection = (typeof inventoryCollections)[number];

/** One item put in place (new, or instead of the one with its id) or, with null, removed. */
export type InventoryChange = {
  [C in InventoryCollection]: {
    readonly collection: C;
    readonly id: string;
    readonly item: Inventory[C][number] | null;
  };
}[InventoryCollection];

/**
 * A new inventory with the change made; the given one stays as it is. A new item goes to the end, an item in place of
 * another takes its position. Removing what is not there changes nothing. The result may be faulty: validate it.
 * @throws Error when the item's own id is not the id of the change.
 */
export function applyInventoryChange(inventory: Inventory, change: InventoryChange): Inventory {
  const { collection, id, item } = change;
  if (item !== null && item.id !== id) {
    throw new Error(`the item "${item.id}" cannot be put under the id "${id}" of ${collection}: the ids must agree`);
  }
  const items: readonly { readonly id: string }[] = inventory[collection];
  const index = items.findIndex((found) => found.id === id);
  if (item === null) return index < 0 ? inventory : { ...inventory, [collection]: items.filter((_, i) => i !== index) };
  return { ...inventory, [collection]: index < 0 ? [...items, item] : items.with(index, item) };
}

interface CollectionDifference {
  readonly added: readonly string[];
  readonly changed: readonly string[];
  readonly removed: readonly string[];
}

export interface InventoryDifference {
  /** Which of the marina's own values differ. */
  readonly marina: readonly ('name' | 'timeZone' | 'settings')[];
  readonly collections: Readonly<Record<InventoryCollection, CollectionDifference>>;
  /** True where nothing differs. */
  readonly isEmpty: boolean;
}

/**
 * What differs from one inventory to another, by id, so that only differences are saved and a dry run can name them.
 * The order of items and of keys is no difference; the order inside an item (lines, reaches) is.
 */
export function compareInventories(before: Inventory, after: Inventory): InventoryDifference {
  const marina = (['name', 'timeZone', 'settings'] as const).filter((key) => !isSame(before[key], after[key]));
  const collections = {
    practices: compareItems(before.practices, after.practices),
    adapterKinds: compareItems(before.adapterKinds, after.adapterKinds),
    docks: compareItems(before.docks, after.docks),
    equipment: compareItems(before.equipment, after.equipment),
    pedestals: compareItems(before.pedestals, after.pedestals),
    outlets: compareItems(before.outlets, after.outlets),
    spaceUnits: compareItems(before.spaceUnits, after.spaceUnits),
    berths: compareItems(before.berths, after.berths),
    adapterStock: compareItems(before.adapterStock, after.adapterStock),
  };
  const isEmpty =
    marina.length === 0 &&
    Object.values(collections).every(
      ({ added, changed, removed }) => added.length + changed.length + removed.length === 0,
    );
  return { marina, collections, isEmpty };
}

function compareItems<T extends { readonly id: string }>(
  before: readonly T[],
  after: readonly T[],
): CollectionDifference {
  const left = new Map(before.map((item) => [item.id, item]));
  const added: string[] = [];
  const changed: string[] = [];
  for (const item of after) {
    const old = left.get(item.id);
    if (old === undefined) added.push(item.id);
    else if (!isSame(old, item)) changed.push(item.id);
    left.delete(item.id);
  }
  return { added, changed, removed: [...left.keys()] };
}

/** Deep equality of plain data, whatever the order of keys. */
function isSame(a: unknown, b: unknown): boolean {
  if (a === b) return true;
  if (typeof a !== 'object' || typeof b !== 'object' || a === null || b === null) return Object.is(a, b);
  if (Array.isArray(a) !== Array.isArray(b)) return false;
  const left = new Map(Object.entries(a));
  const right = Object.entries(b);
  return left.size === right.length && right.every(([key, value]) => left.has(key) && isSame(left.get(key), value));
}
