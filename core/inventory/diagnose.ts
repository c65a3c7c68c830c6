import { type Finding, gravestFirst } from '../findings.ts';
import { berthChecks } from './checks/berth-checks.ts';
import type { InventoryCheck } from './checks/check.ts';
import { equipmentChecks } from './checks/equipment-checks.ts';
import { outletChecks } from './checks/outlet-checks.ts';
import type { InventoryIndex } from './index-inventory.ts';

/** Every check of what is legal but doubtful, so that a report can also name those that found nothing. */
export const inventoryChecks: readonly InventoryCheck[] = [...outletChecks, ...equipmentChecks, ...berthChecks];

/** What all checks find in a valid inventory, gravest first. */
export function diagnoseInventory(index: InventoryIndex): Finding[] {
  return gravestFirst(inventoryChecks.flatMap(({ check }) => check(index)));
}
