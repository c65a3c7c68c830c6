import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { indexInventory } from '../../../core/inventory/index-inventory.ts';
import type { Inventory } from '../../../core/inventory/inventory.ts';
import { validateInventory } from '../../../core/inventory/validate.ts';
import { sampleInventory } from '../../support/sample-inventory.ts';

const wrongTexts = ['', 'x', 'svc', 'panel-a', 'feeder-b1', 'A1', 'BF', 'dock-a', 'a1a', 'L5-30', 'P1', '__proto__'];
const wrongNumbers = [Number.NaN, Number.POSITIVE_INFINITY, -1, 0, 0.5, 1e9];
/** Closed lists of words stay what the shape allows. */
const closed = ['kind', 'lines', 'terminal', 'device', 'material', 'sizeUnit', 'connection', 'loadVa'];

/** Draws whole numbers below a bound, always the same ones for a seed. */
type Draw = (below: number) => number;

function seeded(seed: number): Draw {
  let state = seed;
  return (below) => {
    state = (Math.imul(state, 1664525) + 1013904223) >>> 0;
    return Math.floor((state / 2 ** 32) * below);
  };
}

/** References, quantities and lists go wrong, types do not. */
function damaged(value: unknown, rarity: number, draw: Draw): unknown {
  if (Array.isArray(value)) {
    const items = value.map((item) => damaged(item, rarity, draw));
    if (draw(rarity) === 0) return [];
    return draw(rarity) === 0 ? [...items, ...items] : items;
  }
  if (typeof value === 'object' && value !== null) {
    return Object.fromEntries(
      Object.entries(value).map(([key, inner]) => [key, closed.includes(key) ? inner : damaged(inner, rarity, draw)]),
    );
  }
  if (draw(rarity) !== 0) return value;
  if (typeof value === 'string') return wrongTexts[draw(wrongTexts.length)];
  return typeof value === 'number' ? wrongNumbers[draw(wrongNumbers.length)] : value;
}

describe('validateInventory under random damage', () => {
  it('never throws, and what it passes can be indexed', () => {
    let passed = 0;
    let faulted = 0;
    fc.assert(
      fc.property(fc.integer(), fc.constantFrom(5, 50, 500, 5000), (seed, rarity) => {
        const inventory = damaged(sampleInventory(), rarity, seeded(seed)) as Inventory;
        const faults = validateInventory(inventory);
        for (const { pointer } of faults) expect(pointer).toMatch(/^(\/[A-Za-z0-9]+)+$/);
        if (faults.length > 0) {
          faulted += 1;
          return;
        }
        passed += 1;
        expect(() => indexInventory(inventory)).not.toThrow();
      }),
      { numRuns: 400 },
    );
    // Both outcomes must have been seen, or the property says nothing.
    expect(faulted).toBeGreaterThan(100);
    expect(passed).toBeGreaterThan(10);
  });
});
