import type { SupplySystem } from '../standards/supply-system.ts';
import { supplySystem } from '../standards/supply-systems.ts';
import type { AdapterStock, Berth, Dock, Equipment, Inventory, Outlet, Pedestal, SpaceUnit } from './inventory.ts';

/** A valid inventory with the look-ups that every computation needs, built once per inventory revision. */
export interface InventoryIndex {
  readonly inventory: Inventory;
  readonly docks: ReadonlyMap<string, Dock>;
  readonly equipment: ReadonlyMap<string, Equipment>;
  readonly pedestals: ReadonlyMap<string, Pedestal>;
  readonly outlets: ReadonlyMap<string, Outlet>;
  readonly spaceUnits: ReadonlyMap<string, SpaceUnit>;
  readonly berths: ReadonlyMap<string, Berth>;
  readonly adapterStock: ReadonlyMap<string, AdapterStock>;
  /** Equipment above each outlet, nearest first, up to the service. */
  readonly pathOfOutlet: ReadonlyMap<string, readonly Equipment[]>;
  /** Outlets below each part of the equipment. */
  readonly outletsBelow: ReadonlyMap<string, readonly Outlet[]>;
  /** Supply system on the load side of each part; null where the document gives an unknown one. */
  readonly systemOfEquipment: ReadonlyMap<string, SupplySystem | null>;
}

/**
 * Builds the look-ups.
 * @throws Error when the inventory was not validated first (a reference that leads nowhere, a circle in the equipment).
 */
export function indexInventory(inventory: Inventory): InventoryIndex {
  const equipment = byId(inventory.equipment);
  const pedestals = byId(inventory.pedestals);
  const pathOfEquipment = new Map<string, readonly Equipment[]>();
  const systemOfEquipment = new Map<string, SupplySystem | null>();
  for (const part of inventory.equipment) {
    const path = pathUp(part, equipment);
    pathOfEquipment.set(part.id, path);
    const systemId = path.find((step) => step.systemId !== null)?.systemId ?? null;
    systemOfEquipment.set(part.id, systemId === null ? null : supplySystem(systemId));
  }

  const pathOfOutlet = new Map<string, readonly Equipment[]>();
  const outletsBelow = new Map<string, Outlet[]>(inventory.equipment.map((part) => [part.id, []]));
  for (const outlet of inventory.outlets) {
    const fedById = outlet.fedById ?? pedestals.get(outlet.pedestalId)?.fedById;
    const path = fedById === undefined ? undefined : pathOfEquipment.get(fedById);
    if (path === undefined) throw new Error(`outlet "${outlet.id}" is fed by nothing: validate the inventory first`);
    pathOfOutlet.set(outlet.id, path);
    for (const part of path) outletsBelow.get(part.id)?.push(outlet);
  }

  return {
    inventory,
    docks: byId(inventory.docks),
    equipment,
    pedestals,
    outlets: byId(inventory.outlets),
    spaceUnits: byId(inventory.spaceUnits),
    berths: byId(inventory.berths),
    adapterStock: byId(inventory.adapterStock),
    pathOfOutlet,
    outletsBelow,
    systemOfEquipment,
  };
}

function byId<T extends { readonly id: string }>(items: readonly T[]): Map<string, T> {
  return new Map(items.map((item) => [item.id, item]));
}

function pathUp(part: Equipment, equipment: ReadonlyMap<string, Equipment>): readonly Equipment[] {
  const path: Equipment[] = [];
  let step: Equipment | undefined = part;
  while (step !== undefined) {
    if (path.length > equipment.size)
      throw new Error(`equipment "${part.id}" is in a circle: validate the inventory first`);
    path.push(step);
    if (step.parentId === null) break;
    const parent: Equipment | undefined = equipment.get(step.parentId);
    if (parent === undefined) throw new Error(`equipment "${step.id}" is fed by nothing: validate the inventory first`);
    step = parent;
  }
  return path;
}
