import type { InventoryIndex } from '../../../inventory/index-inventory.ts';
import type { Equipment, Outlet } from '../../../inventory/inventory.ts';
import { configuration } from '../../../standards/configurations.ts';

/** Whether the code speaks of this outlet at all: a 50 Hz supply has rules of its own. */
export function isCovered(outlet: Outlet, index: InventoryIndex): boolean {
  const feed = index.pathOfOutlet.get(outlet.id)?.[0];
  const system = feed === undefined ? null : index.systemOfEquipment.get(feed.id);
  return system?.frequencyHz !== 50;
}

/** Shore power as the code counts it; a pattern that is unknown may be, and is not left out. */
export function isShorePower(outlet: Outlet): boolean {
  const pattern = configuration(outlet.configurationId);
  return pattern === null || pattern.ratedA >= 30;
}

export function coveredOutlets(index: InventoryIndex): Outlet[] {
  return index.inventory.outlets.filter((outlet) => isCovered(outlet, index));
}

export function shorePowerOutlets(index: InventoryIndex): Outlet[] {
  return coveredOutlets(index).filter(isShorePower);
}

/** Equipment above an outlet on its own supply, nearest first: a device above a transformer sees none of its faults. */
export function ownSupplyPath(path: readonly Equipment[]): readonly Equipment[] {
  const end = path.findIndex(({ kind }) => kind === 'transformer');
  return end < 0 ? path : path.slice(0, end + 1);
}
