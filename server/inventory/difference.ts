import { z } from 'zod';
import type { Finding } from '../../core/findings.ts';
import { type InventoryDifference, inventoryCollections } from '../../core/inventory/change.ts';
import type { Inventory } from '../../core/inventory/inventory.ts';
import { findingSchema } from '../http/finding-schema.ts';

const ids = z.array(z.string());
const collection = z.strictObject({ added: ids, changed: ids, removed: ids });

/** What a write did, or would do. */
export const writtenSchema = z
  .strictObject({
    inventoryRevision: z.int().describe("The marina's present revision: after the change where it is stored."),
    stored: z.boolean().describe('False where nothing differs and after a dry run.'),
    differs: z.boolean(),
    marina: z.array(z.enum(['name', 'timeZone', 'settings'])),
    practices: collection,
    adapterKinds: collection,
    docks: collection,
    equipment: collection,
    pedestals: collection,
    outlets: collection,
    spaceUnits: collection,
    berths: collection,
    adapterStock: collection,
    findings: z.array(findingSchema).describe('What the new inventory is short of for what is lent or promised.'),
  })
  .meta({ id: 'InventoryWritten', description: 'Ids of what was added, changed and removed.' });

export function writtenToApi(
  inventoryRevision: number,
  stored: boolean,
  { marina, collections, isEmpty }: InventoryDifference,
  findings: readonly Finding[],
): z.output<typeof writtenSchema> {
  const copy = ({ added, changed, removed }: InventoryDifference['collections']['docks']) => ({
    added: [...added],
    changed: [...changed],
    removed: [...removed],
  });
  return {
    inventoryRevision,
    stored,
    differs: !isEmpty,
    marina: [...marina],
    practices: copy(collections.practices),
    adapterKinds: copy(collections.adapterKinds),
    docks: copy(collections.docks),
    equipment: copy(collections.equipment),
    pedestals: copy(collections.pedestals),
    outlets: copy(collections.outlets),
    spaceUnits: copy(collections.spaceUnits),
    berths: copy(collections.berths),
    adapterStock: copy(collections.adapterStock),
    findings: [...findings],
  };
}

/** The two sides of a change row: only what differs, as it was and as it is since. */
export function sidesOf(
  before: Inventory,
  after: Inventory,
  difference: InventoryDifference,
): { readonly before: Record<string, unknown>; readonly after: Record<string, unknown> } {
  const sides: { before: Record<string, unknown>; after: Record<string, unknown> } = { before: {}, after: {} };
  for (const name of difference.marina) {
    sides.before[name] = before[name];
    sides.after[name] = after[name];
  }
  for (const name of inventoryCollections) {
    const { added, changed, removed } = difference.collections[name];
    const old = pick(before[name], [...changed, ...removed]);
    const present = pick(after[name], [...added, ...changed]);
    if (old.length > 0) sides.before[name] = old;
    if (present.length > 0) sides.after[name] = present;
  }
  return sides;
}

function pick(
  items: readonly { readonly id: string }[],
  wanted: readonly string[],
): readonly { readonly id: string }[] {
  const ids = new Set(wanted);
  return items.filter((item) => ids.has(item.id));
}
