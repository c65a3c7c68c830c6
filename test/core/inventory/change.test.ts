import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import {
  applyInventoryChange,
  compareInventories,
  type InventoryChange,
  type InventoryCollection,
  inventoryCollections,
} from '../../../core/inventory/change.ts';
import type { Inventory } from '../../../core/inventory/inventory.ts';
import { sampleInventory, sampleSettings } from '../../support/sample-inventory.ts';

const legal = sampleInventory();

/** A change of any collection: the item's label or name replaced, a copy under a new id put, or an item removed. */
const someChange = fc
  .tuple(fc.constantFrom(...inventoryCollections), fc.nat(), fc.constantFrom('changed', 'added', 'removed'))
  .map(([collection, at, what]) => {
    const items: readonly { readonly id: string }[] = legal[collection];
    const item = items[at % items.length];
    if (item === undefined) throw new Error(`the sample has nothing in ${collection}`);
    const id = what === 'added' ? 'brand-new' : item.id;
    const put = { ...item, id, label: 'another', name: 'another' };
    const change = { collection, id, item: what === 'removed' ? null : put } as InventoryChange;
    return { what, change };
  });

/** The same data with the keys of every object in reverse. */
function reversedKeys(value: unknown): unknown {
  if (Array.isArray(value)) return value.map(reversedKeys);
  if (typeof value !== 'object' || value === null) return value;
  return Object.fromEntries(
    Object.entries(value)
      .reverse()
      .map(([key, inner]) => [key, reversedKeys(inner)]),
  );
}

describe('applyInventoryChange', () => {
  it('leaves the given inventory as it is', () => {
    const before = structuredClone(legal);
    fc.assert(
      fc.property(someChange, ({ change }) => {
        applyInventoryChange(legal, change);
        expect(legal).toEqual(before);
      }),
    );
  });

  it('keeps a replaced item in its place and puts a new one last', () => {
    const [first] = legal.docks;
    if (first === undefined) throw new Error('the sample has no dock');
    const replaced = applyInventoryChange(legal, {
      collection: 'docks',
      id: 'dock-a',
      item: { ...first, label: 'North' },
    });
    expect(replaced.docks.map((dock) => dock.label)).toEqual(['North', 'B']);
    const added = applyInventoryChange(legal, { collection: 'docks', id: 'dock-c', item: { ...first, id: 'dock-c' } });
    expect(added.docks.map((dock) => dock.id)).toEqual(['dock-a', 'dock-b', 'dock-c']);
  });

  it('changes nothing where there is nothing to remove', () => {
    expect(applyInventoryChange(legal, { collection: 'outlets', id: 'x', item: null })).toBe(legal);
  });

  it('refuses an item under another id', () => {
    const [first] = legal.docks;
    if (first === undefined) throw new Error('the sample has no dock');
    expect(() => applyInventoryChange(legal, { collection: 'docks', id: 'dock-z', item: first })).toThrow(
      /"dock-a" cannot be put under the id "dock-z"/,
    );
  });
});

describe('compareInventories', () => {
  it('finds nothing between an inventory and itself, whatever the order of keys and items', () => {
    expect(compareInventories(legal, legal).isEmpty).toBe(true);
    expect(compareInventories(legal, structuredClone(legal)).isEmpty).toBe(true);
    expect(compareInventories(legal, reversedKeys(legal) as Inventory).isEmpty).toBe(true);
    expect(compareInventories(legal, { ...legal, outlets: [...legal.outlets].reverse() }).isEmpty).toBe(true);
  });

  it('names exactly the item that was changed', () => {
    fc.assert(
      fc.property(someChange, ({ what, change }) => {
        const difference = compareInventories(legal, applyInventoryChange(legal, change));
        expect(difference.isEmpty).toBe(false);
        expect(difference.marina).toEqual([]);
        for (const collection of inventoryCollections) {
          const own = (kind: string) => (collection === change.collection && what === kind ? [change.id] : []);
          expect(difference.collections[collection], collection).toEqual({
            added: own('added'),
            changed: own('changed'),
            removed: own('removed'),
          });
        }
      }),
    );
  });

  it('swaps added and removed when turned round', () => {
    fc.assert(
      fc.property(someChange, ({ change }) => {
        const other = applyInventoryChange(legal, change);
        const there = compareInventories(legal, other).collections;
        const back = compareInventories(other, legal).collections;
        for (const collection of inventoryCollections satisfies readonly InventoryCollection[]) {
          expect(back[collection].added).toEqual(there[collection].removed);
          expect(back[collection].removed).toEqual(there[collection].added);
          expect(back[collection].changed).toEqual(there[collection].changed);
        }
      }),
    );
  });

  it('tells an order of lines, a null and a missing load apart', () => {
    const patched = (patch: Partial<Inventory['outlets'][number]>) => ({
      ...legal,
      outlets: legal.outlets.map((outlet) => (outlet.id === 'a1c' ? { ...outlet, ...patch } : outlet)),
    });
    for (const patch of [{ lines: ['L2', 'L1'] as const }, { lines: null }, { breakerA: null }]) {
      expect(compareInventories(legal, patched(patch)).collections.outlets.changed).toEqual(['a1c']);
    }
    const loads = (loadVa: Partial<Record<'L1' | 'L2', number>>) => ({
      ...legal,
      equipment: legal.equipment.map((part) =>
        part.id === 'panel-a' ? { ...part, otherLoads: [{ label: 'dock lighting', loadVa }] } : part,
      ),
    });
    expect(compareInventories(legal, loads({ L2: 400, L1: 600 })).isEmpty).toBe(true);
    expect(compareInventories(legal, loads({ L1: 600 })).collections.equipment.changed).toEqual(['panel-a']);
  });

  it("names the marina's own values", () => {
    const other = { ...legal, name: 'Other', settings: { ...sampleSettings, cordSlackM: 2 } };
    expect(compareInventories(legal, other)).toMatchObject({ marina: ['name', 'settings'], isEmpty: false });
  });
});
