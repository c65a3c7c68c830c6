import { type InventoryFault, named, reportDuplicateIds, reportDuplicateLabels, reportQuantity } from './fault.ts';
import type { Inventory } from './inventory.ts';
import { suppliesOf } from './supplies.ts';
import { validateBerths, validateSpaceUnits } from './validate-berths.ts';
import { validateEquipment } from './validate-equipment.ts';
import { validateOutlets, validatePedestals } from './validate-outlets.ts';
import { validateAdapterKinds, validateAdapterStock, validatePractices } from './validate-own-kinds.ts';
import { validateSettings } from './validate-settings.ts';
import type { Validation } from './validation.ts';

/**
 * Every fault of a document of the right shape, in the document's order by kind; an empty list where it is legal. A
 * legal inventory can be indexed and computed with. Never throws. Time zones are the caller's to check.
 */
export function validateInventory(inventory: Inventory): InventoryFault[] {
  const faults: InventoryFault[] = [];
  const equipment = firstById(inventory.equipment);
  const validation: Validation = {
    report: (pointer, rule, message) => faults.push({ pointer, rule, message }),
    inventory,
    docks: firstById(inventory.docks),
    equipment,
    supplies: suppliesOf(equipment),
    pedestals: firstById(inventory.pedestals),
    outlets: firstById(inventory.outlets),
    spaceUnits: firstById(inventory.spaceUnits),
    berthIds: new Set(inventory.berths.map((berth) => berth.id)),
  };
  validateSettings(validation);
  validatePractices(validation);
  validateAdapterKinds(validation);
  validateDocks(validation);
  validateEquipment(validation);
  validatePedestals(validation);
  validateOutlets(validation);
  validateSpaceUnits(validation);
  validateBerths(validation);
  validateAdapterStock(validation);
  return faults;
}

function validateDocks({ inventory, report }: Validation): void {
  reportDuplicateIds(report, '/docks', 'dock', inventory.docks);
  reportDuplicateLabels(report, '/docks', 'dock', inventory.docks, () => 'this marina');
  inventory.docks.forEach((dock, i) => {
    reportQuantity(report, `/docks/${i}/lengthM`, `length of ${named('dock', dock)}`, dock.lengthM, 'm', 'positive');
  });
}

function firstById<T extends { readonly id: string }>(items: readonly T[]): Map<string, T> {
  const found = new Map<string, T>();
  for (const item of items) if (!found.has(item.id)) found.set(item.id, item);
  return found;
}
