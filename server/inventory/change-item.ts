import { applyInventoryChange, type InventoryChange } from '../../core/inventory/change.ts';
import type { InventoryFault } from '../../core/inventory/fault.ts';
import type { Inventory } from '../../core/inventory/inventory.ts';
import { validateInventory } from '../../core/inventory/validate.ts';
import { type InputError, Problem } from '../errors.ts';
import type { CollectionResource, InventoryItem } from './collections.ts';

/**
 * The inventory with one item put in place.
 * @throws Problem `faulty-document`: pointers lead into the item, or are empty where the fault lies outside it.
 */
export function withItem(before: Inventory, resource: CollectionResource, item: InventoryItem): Inventory {
  const after = applyInventoryChange(before, changeOf(resource, item.id, item));
  const position = after[resource.collection].findIndex((each) => each.id === item.id);
  throwIfFaulty(validateInventory(after), `/${resource.collection}/${position}`);
  return after;
}

/**
 * The inventory without one item.
 * @throws Problem `not-found`, or `in-use` where other things of the inventory refer to it.
 */
export function withoutItem(before: Inventory, resource: CollectionResource, id: string): Inventory {
  const { noun, collection } = resource;
  if (!before[collection].some((each) => each.id === id)) throw missing(resource, id);
  const after = applyInventoryChange(before, changeOf(resource, id, null));
  const faults = validateInventory(after);
  const [first] = faults;
  if (first === undefined) return after;
  const places = faults.length > 1 ? `${faults.length} places, the first: ` : '';
  throw new Problem(
    'in-use',
    `The inventory still refers to the ${noun} "${id}" (${places}${first.pointer}). Change or remove that first. ${first.message}`,
  );
}

/** @throws Problem `faulty-document`: pointers within `base` become pointers into the body. */
export function throwIfFaulty(faults: readonly InventoryFault[], base: string): void {
  const [first] = faults;
  if (first === undefined) return;
  const errors = faults.map(({ pointer, message }): InputError => {
    const isWithin = pointer === base || pointer.startsWith(`${base}/`);
    return { in: 'body', pointer: isWithin ? pointer.slice(base.length) : '', message };
  });
  const more = faults.length > 1 ? ` (and ${faults.length - 1} more)` : '';
  throw new Problem('faulty-document', `${first.message}${more}`, { errors: errors.slice(0, 1_000) });
}

export function missing({ noun }: CollectionResource, id: string): Problem {
  return new Problem('not-found', `There is no ${noun} "${id}".`);
}

// The item was parsed by the schema of this collection: the pair is one of the union.
function changeOf({ collection }: CollectionResource, id: string, item: InventoryItem | null): InventoryChange {
  return { collection, id, item } as InventoryChange;
}
