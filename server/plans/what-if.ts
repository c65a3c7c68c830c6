import type { OutletUse, SpaceUse } from '../../core/berths/occupancy.ts';
import { deriveOutletUses } from '../../core/berths/outlet-uses.ts';
import type { PlanStay } from '../../core/berths/plan/question.ts';
import { deriveSpaceUses } from '../../core/berths/space-uses.ts';
import { applyInventoryChange, type InventoryChange } from '../../core/inventory/change.ts';
import { type InventoryIndex, indexInventory } from '../../core/inventory/index-inventory.ts';
import type { Inventory } from '../../core/inventory/inventory.ts';
import { validateInventory } from '../../core/inventory/validate.ts';
import { overlaps, type Period } from '../../core/periods.ts';
import type { Tx } from '../db/client.ts';
import { Problem } from '../errors.ts';
import { heldOutlets, withAbsences } from '../holdings/schema.ts';
import { claimOf } from '../holdings/stored-holding.ts';
import { collectionSchemas } from '../inventory/schema.ts';
import type { Occupancy } from '../occupancy/load.ts';
import type { NewPlan } from './schema.ts';

/** @throws Problem `invalid-input`, `faulty-document` */
export function changedIndex(present: InventoryIndex, { changes }: NewPlan): InventoryIndex {
  if (changes.inventory.length === 0) return present;
  let inventory: Inventory = present.inventory;
  changes.inventory.forEach(({ collection, id, item }, i) => {
    const parsed = item === null ? null : collectionSchemas[collection].safeParse(item);
    if (parsed !== null && !parsed.success)
      throw invalidAt(`/changes/inventory/${i}/item`, parsed.error.issues[0]?.message ?? 'Not an item.');
    if (parsed !== null && parsed.data.id !== id)
      throw invalidAt(`/changes/inventory/${i}/id`, 'The item has another id.');
    // The schema of the collection has just parsed the item.
    const change = { collection, id, item: parsed?.data ?? null } as InventoryChange;
    inventory = applyInventoryChange(inventory, change);
  });
  const faults = validateInventory(inventory);
  if (faults.length > 0) {
    throw new Problem('faulty-document', 'The inventory with these changes contradicts itself.', {
      errors: faults
        .slice(0, 20)
        .map(({ pointer, message }) => ({ in: 'body', pointer: `/changes${pointer}`, message })),
    });
  }
  return indexInventory(inventory);
}

/**
 * Occupancy as it would be with closings lifted and others made. Where one is lifted, the place is its holder's again.
 * @throws Problem `invalid-input` where a change names what is not there
 */
export async function changedOccupancy(
  db: Tx,
  marinaId: string,
  occupancy: Occupancy,
  index: InventoryIndex,
  { changes }: NewPlan,
  span: Period,
): Promise<Occupancy> {
  changes.inService.forEach((id, i) => {
    if (!index.outlets.has(id) && !index.spaceUnits.has(id))
      throw invalidAt(`/changes/inService/${i}`, `There is no outlet or unit "${id}".`);
  });
  const { spaceUses, outletUses } = await lifted(db, marinaId, occupancy, new Set(changes.inService), span);
  const spaces = [...spaceUses];
  const outlets = [...outletUses];
  changes.outOfService.forEach(({ equipmentId, outletId, unitId, from, until }, i) => {
    const at = { from: Math.max(Date.parse(from), span.from), until: Math.min(Date.parse(until), span.until) };
    const by = { kind: 'outOfService', id: `what-if-${i}`, label: 'out of service in this what-if' } as const;
    const pointer = `/changes/outOfService/${i}`;
    if (unitId !== undefined) {
      const unit = index.spaceUnits.get(unitId);
      if (unit === undefined) throw invalidAt(pointer, `There is no unit "${unitId}".`);
      spaces.push({ unitId, fromM: 0, untilM: unit.faceLengthM ?? 1, ...at, by } satisfies SpaceUse);
      return;
    }
    const below =
      equipmentId === undefined ? [outletId ?? ''] : index.outletsBelow.get(equipmentId)?.map(({ id }) => id);
    if (below === undefined) throw invalidAt(pointer, `There is no equipment "${equipmentId}".`);
    for (const id of below) {
      if (!index.outlets.has(id)) throw invalidAt(pointer, `There is no outlet "${id}".`);
      outlets.push({ outletId: id, statedVa: null, ...at, by } satisfies OutletUse);
    }
  });
  const isAny = ({ from, until }: Period) => overlaps({ from, until }, span);
  return { ...occupancy, spaceUses: spaces.filter(isAny), outletUses: outlets.filter(isAny) };
}

/** Takes closings of these units and outlets away, and derives anew what their holders have there. */
async function lifted(
  db: Tx,
  marinaId: string,
  { spaceUses, outletUses }: Occupancy,
  ids: ReadonlySet<string>,
  { from, until }: Period,
): Promise<Pick<Occupancy, 'spaceUses' | 'outletUses'>> {
  if (ids.size === 0) return { spaceUses, outletUses };
  const rows = await db.holding.findMany({
    where: { marinaId, fromAt: { lt: new Date(until) }, untilAt: { gt: new Date(from) } },
    include: withAbsences,
    orderBy: { id: 'asc' },
  });
  const holdings = await Promise.all(
    rows.map(async (row) => ({
      ...(await claimOf(db, row)),
      by: { kind: 'holding', id: row.id, label: row.holderName } as const,
      outlets: heldOutlets.parse(row.outlets),
    })),
  );
  const isLiftedSpace = ({ unitId }: { readonly unitId: string }) => ids.has(unitId);
  const isLiftedOutlet = ({ outletId }: { readonly outletId: string }) => ids.has(outletId);
  // A group's block stands as it is: what a lifted closing had of it is open to all in this what-if.
  const isAssigned = ({ by }: Pick<SpaceUse, 'by'>) => by.kind === 'assignment' || by.kind === 'group';
  return {
    spaceUses: [
      ...spaceUses.filter((use) => !isLiftedSpace(use) || isAssigned(use)),
      ...deriveSpaceUses({
        assignments: spaceUses.filter((use) => isLiftedSpace(use) && isAssigned(use)),
        outOfService: [],
        holdings: holdings.map((held) => ({ ...held, parts: held.parts.filter(isLiftedSpace) })),
        groups: [],
      }),
    ],
    outletUses: [
      ...outletUses.filter((use) => !isLiftedOutlet(use) || isAssigned(use)),
      ...deriveOutletUses({
        assignments: outletUses.filter((use) => isLiftedOutlet(use) && isAssigned(use)),
        outOfService: [],
        holdings: holdings.flatMap((held) =>
          held.outlets.filter(isLiftedOutlet).map(({ outletId, loadVa }) => ({
            ...held,
            outletIds: [outletId],
            statedVa: loadVa,
          })),
        ),
      }),
    ],
  };
}

/** @throws Problem `invalid-input` */
export function extraStays(stays: readonly PlanStay[], { changes }: NewPlan): PlanStay[] {
  return changes.extraStays.flatMap(({ like, count }, i) => {
    const model = stays.find(({ id }) => id === like);
    if (model === undefined) {
      throw invalidAt(
        `/changes/extraStays/${i}/like`,
        `Stay "${like}" is not to be placed in this period. Name one that is.`,
      );
    }
    return Array.from({ length: count }, (_, k): PlanStay => {
      const id = `what-if-${i}-${k + 1}`;
      const boat = { ...model.boat, id, name: `${model.label} (what-if ${k + 1})` };
      return { ...model, id, label: boat.name, boat, promised: false, present: null };
    });
  });
}

function invalidAt(pointer: string, message: string): Problem {
  return new Problem('invalid-input', message, { errors: [{ in: 'body', pointer, message }] });
}
