import type { InventoryIndex } from '../../inventory/index-inventory.ts';
import type { Equipment, GroundFault, Outlet } from '../../inventory/inventory.ts';
import type { LineName } from '../../standards/configuration.ts';
import type { SupplySystem } from '../../standards/supply-system.ts';

/** Everything about one outlet that a hook-up's judgement depends on. Null is unknown. */
export interface SupplyOutlet {
  readonly id: string;
  /** Pedestal and outlet as people call it: `A1-B`. */
  readonly label: string;
  readonly configurationId: string;
  readonly lines: readonly LineName[] | null;
  readonly system: SupplySystem | null;
  readonly earthing: Equipment['earthing'];
  readonly breakerA: number | null;
  readonly groundFault: GroundFault;
  /** The transformer or service that makes its lines and neutral: two outlets of different ones are never joined. */
  readonly supplyId: string | null;
  /** Ground-fault devices further up, nearest first: one that sees only one of two joined outlets sees a residual. */
  readonly devicesAbove: readonly DeviceAbove[];
}

interface DeviceAbove {
  readonly equipmentId: string;
  readonly device: 'fitted' | 'unknown';
}

/** The outlet with what feeds it, from a valid inventory. */
export function supplyOutlet(index: InventoryIndex, outlet: Outlet): SupplyOutlet {
  const path = index.pathOfOutlet.get(outlet.id) ?? [];
  // A transformer makes its own neutral and earthing; what is above it says nothing of them.
  const supply = path.find((part) => part.kind === 'transformer' || part.kind === 'service') ?? null;
  const nearest = path[0] ?? null;
  const pedestal = index.pedestals.get(outlet.pedestalId);
  const devicesAbove: DeviceAbove[] = [];
  for (const part of path) {
    const { device } = part.groundFault;
    if (device !== 'none') devicesAbove.push({ equipmentId: part.id, device });
    if (part === supply) break;
  }
  return {
    id: outlet.id,
    label: pedestal === undefined ? outlet.label : `${pedestal.label}-${outlet.label}`,
    configurationId: outlet.configurationId,
    lines: outlet.lines,
    system: nearest === null ? null : (index.systemOfEquipment.get(nearest.id) ?? null),
    earthing: supply?.earthing ?? null,
    breakerA: outlet.breakerA,
    groundFault: outlet.groundFault,
    supplyId: supply?.id ?? null,
    devicesAbove,
  };
}
