import { applyInventoryChange, compareInventories, type InventoryChange } from '../../inventory/change.ts';
import type { InventoryFault } from '../../inventory/fault.ts';
import type { Inventory } from '../../inventory/inventory.ts';
import { validateInventory } from '../../inventory/validate.ts';

/** One thing that could be done: what it puts in place, what it costs, and who says so. */
export interface StudyChange {
  readonly id: string;
  readonly label: string;
  /** In this order, on the study's copy of the inventory. */
  readonly items: readonly InventoryChange[];
  /** Decimal string in the study's currency. */
  readonly cost: string;
  readonly lifeYears: number;
  /** Days that what it touches cannot be used while it is built. */
  readonly outOfServiceDays: number;
  readonly suppliedBy: string;
  /** Changes that must be made before it, or with it. */
  readonly requires: readonly string[];
}

/**
 * The changes in an order in which each comes after all that it requires; among those that are free to go, the order
 * given.
 * @throws RangeError for a requirement that is no change, and for a circle, which is named.
 */
export function inOrderOfNeed<Change extends Pick<StudyChange, 'id' | 'requires'>>(
  changes: readonly Change[],
): Change[] {
  const byId = new Map(changes.map((change) => [change.id, change]));
  const ordered: Change[] = [];
  const state = new Map<string, 'open' | 'done'>();
  const visit = (change: Change, way: readonly string[]): void => {
    if (state.get(change.id) === 'done') return;
    if (state.get(change.id) === 'open') {
      const circle = [...way.slice(way.indexOf(change.id)), change.id];
      throw new RangeError(
        `The changes require each other in a circle: ${circle.join(' > ')}. Leave one requirement out.`,
      );
    }
    state.set(change.id, 'open');
    for (const id of change.requires) {
      const required = byId.get(id);
      if (required === undefined)
        throw new RangeError(`"${change.id}" requires "${id}", which is no change of the study.`);
      visit(required, [...way, change.id]);
    }
    state.set(change.id, 'done');
    ordered.push(change);
  };
  for (const change of changes) visit(change, []);
  return ordered;
}

export interface AppliedStudy {
  readonly inventory: Inventory;
  /** What makes the result no legal inventory; empty: it can be computed with. */
  readonly faults: readonly InventoryFault[];
}

/** The base with the chosen changes made, and what they require with them. The base stays as it is. */
export function applyStudy(
  base: Inventory,
  changes: readonly StudyChange[],
  chosenIds: ReadonlySet<string>,
): AppliedStudy {
  const wanted = new Set(chosenIds);
  const ordered = inOrderOfNeed(changes);
  for (const change of [...ordered].reverse()) {
    if (wanted.has(change.id)) for (const id of change.requires) wanted.add(id);
  }
  let inventory = base;
  for (const { id, items } of ordered) {
    if (wanted.has(id)) for (const item of items) inventory = applyInventoryChange(inventory, item);
  }
  return { inventory, faults: validateInventory(inventory) };
}

/** Whether what a change touches differs between the study's base and the present inventory. */
export function movedUnder(
  changes: readonly StudyChange[],
  base: Inventory,
  present: Inventory,
): { readonly changeId: string; readonly collection: string; readonly id: string }[] {
  const { collections } = compareInventories(base, present);
  const hasMoved = ({ collection, id }: InventoryChange): boolean => {
    const { added, changed, removed } = collections[collection];
    return added.includes(id) || changed.includes(id) || removed.includes(id);
  };
  return changes.flatMap(({ id: changeId, items }) =>
    items.filter(hasMoved).map(({ collection, id }) => ({ changeId, collection, id })),
  );
}
