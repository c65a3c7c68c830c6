import type { ReportFault } from './fault.ts';
import type { Dock, Equipment, Inventory, Outlet, Pedestal, SpaceUnit } from './inventory.ts';
import type { Supplies } from './supplies.ts';

/** What the checks look things up in. Of items with the same id the first counts. */
export interface Validation {
  readonly report: ReportFault;
  readonly inventory: Inventory;
  readonly docks: ReadonlyMap<string, Dock>;
  readonly equipment: ReadonlyMap<string, Equipment>;
  readonly supplies: Supplies;
  readonly pedestals: ReadonlyMap<string, Pedestal>;
  readonly outlets: ReadonlyMap<string, Outlet>;
  readonly spaceUnits: ReadonlyMap<string, SpaceUnit>;
  readonly berthIds: ReadonlySet<string>;
}
