import type { Wishes } from '../../core/berths/options/options.ts';
import type { InventoryIndex } from '../../core/inventory/index-inventory.ts';
import { invalid } from '../occupancy/berth-parts.ts';

/** @throws Problem `invalid-input` for a wish that names no dock or berth of the marina. */
export function requireWishes({ dockId, berthId }: Wishes, { docks, berths }: InventoryIndex): void {
  if (dockId !== null && !docks.has(dockId)) throw invalid('/wishes/dockId', `There is no dock "${dockId}".`);
  if (berthId !== null && !berths.has(berthId)) throw invalid('/wishes/berthId', `There is no berth "${berthId}".`);
}
