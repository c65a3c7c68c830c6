import { describe, expect, it } from 'vitest';
import { readInventoryDocument } from '../../core/inventory/expand-patterns.ts';
import { indexInventory } from '../../core/inventory/index-inventory.ts';
import type { Equipment } from '../../core/inventory/inventory.ts';
import { validateInventory } from '../../core/inventory/validate.ts';
import { localDay } from '../../seed-demo/days.ts';
import { generateDemo } from '../../seed-demo/generate.ts';
import { inventorySchema } from '../../server/inventory/schema.ts';

const today = '2030-06-14';
const demo = generateDemo({ today, seed: 1 });
const { inventory, faults } = readInventoryDocument(demo.inventory);

describe('the generated demo', () => {
  it('is the same for the same day and seed, and another for another', () => {
    expect(generateDemo({ today, seed: 1 })).toEqual(demo);
    expect(generateDemo({ today, seed: 2 }).stays).not.toEqual(demo.stays);
  });

  it('has no fault, by the rules of any inventory and at the API', () => {
    expect(faults).toEqual([]);
    expect(validateInventory(inventory)).toEqual([]);
    expect(inventorySchema.safeParse(inventory).error).toBeUndefined();
  });

  it('has the berths, holders, outlets, stays and calls that the demo promises', () => {
    expect(inventory.docks).toHaveLength(4);
    expect(inventory.berths).toHaveLength(250);
    expect(inventory.outlets).toHaveLength(350);
    expect(new Set(demo.holdings.map(({ berthId }) => berthId)).size).toBe(210);
    expect(demo.holdings).toHaveLength(210);
    expect(demo.stays).toHaveLength(1_500);
    expect(demo.turnedAway).toHaveLength(120);
    expect(demo.holdings.some(({ absences }) => absences.length > 0)).toBe(true);
  });

  it('keeps its awkward corners: no limits on one feeder, one unknown line, a face, rafts and slips together', () => {
    const limitless = inventory.equipment.filter((part) => part.kind === 'feeder' && !hasLimit(part));
    expect(limitless.map(({ id }) => id)).toEqual(['C2']);
    expect(inventory.outlets.filter(({ lines }) => lines === null).map(({ id }) => id)).toEqual(['C30B']);
    expect(inventory.berths.filter(({ unitIds }) => unitIds.length > 1)).toHaveLength(5);
    expect(inventory.berths.filter(({ faceFromM }) => faceFromM !== null)).toHaveLength(2);
    expect(inventory.berths.filter(({ mooring }) => mooring === 'rafted')).toHaveLength(5);
    const kinds = new Set(inventory.outlets.map(({ configurationId }) => configurationId));
    expect([...kinds].sort()).toEqual(['5-20', 'L5-30', 'PS-100-125/250-3P4W', 'SS1-50', 'SS2-50']);
    const systems = new Set(indexInventory(inventory).systemOfEquipment.values());
    expect([...systems].map((system) => system?.id).sort()).toEqual(['120/240-split-phase', '208Y/120', '480Y/277']);
  });

  it('names no two boats alike and gives every stay a boat of its own time', () => {
    const boats = [...demo.boats, ...demo.holdings.map(({ boat }) => boat)];
    expect(new Set(boats.map(({ name }) => name)).size).toBe(boats.length);
    expect(new Set(boats.map(({ id }) => id)).size).toBe(boats.length);
    const known = new Set(demo.boats.map(({ id }) => id));
    expect([...demo.stays, ...demo.turnedAway].filter(({ boatId }) => !known.has(boatId))).toEqual([]);
    const lastDeparture = new Map<string, number>();
    for (const { boatId, from, until } of demo.stays) {
      expect(from).toBeGreaterThanOrEqual(lastDeparture.get(boatId) ?? 0);
      lastDeparture.set(boatId, until);
    }
  });

  it('spreads the season round the day, with the arrivals of the day written one by one', () => {
    const arrivalDays = demo.stays.map(({ from }) => localDay(from, inventory.timeZone));
    const onTheDay = arrivalDays.filter((day) => day === today).length;
    expect(onTheDay).toBeGreaterThanOrEqual(8);
    expect(onTheDay).toBeLessThanOrEqual(12);
    expect(arrivalDays.filter((day) => day < today).length).toBeGreaterThan(800);
    expect(arrivalDays.filter((day) => day > today).length).toBeGreaterThan(200);
  });
});

function hasLimit({ breakerA, conductorAmpacityA, neutralAmpacityA, busA }: Equipment): boolean {
  return [breakerA, conductorAmpacityA, neutralAmpacityA, busA].some((limit) => limit !== null);
}
