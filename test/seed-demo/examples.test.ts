import { expect, it } from 'vitest';
import { readInventoryDocument } from '../../core/inventory/expand-patterns.ts';
import { generateDemo } from '../../seed-demo/generate.ts';
import { apiRoutes as routes } from '../../server/routes.ts';

const { inventory } = readInventoryDocument(generateDemo({ today: '2030-06-14', seed: 1 }).inventory);
const idsOf = (items: readonly { readonly id: string }[]) => new Set(items.map(({ id }) => id));
const known: Readonly<Record<string, ReadonlySet<string>>> = {
  berthId: idsOf(inventory.berths),
  dockId: idsOf(inventory.docks),
  outletId: idsOf(inventory.outlets),
  outletIds: idsOf(inventory.outlets),
  unitId: idsOf(inventory.spaceUnits),
  equipmentId: idsOf(inventory.equipment),
  stockId: idsOf(inventory.adapterStock),
};

/** Every id that an example names, with the field it stands in. */
function idsIn(value: unknown, field = ''): [field: string, id: string][] {
  if (typeof value === 'string') return field in known ? [[field, value]] : [];
  if (Array.isArray(value)) return value.flatMap((each) => idsIn(each, field));
  if (typeof value !== 'object' || value === null) return [];
  return Object.entries(value).flatMap(([name, inner]) => idsIn(inner, name));
}

it('the examples of the API name things of the demo marina, so that they can be sent to it as they stand', () => {
  const ofMarina = routes.filter(({ url, method }) => url.includes(':marinaId') && method !== 'PUT');
  const named = ofMarina.flatMap(({ operationId, example }) =>
    idsIn(example).map(([field, id]) => ({ operationId, field, id, isKnown: known[field]?.has(id) ?? false })),
  );
  expect(named.filter(({ isKnown }) => !isKnown)).toEqual([]);
  expect(named.length).toBeGreaterThan(5);
});
