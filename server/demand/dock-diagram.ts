import type { InventoryIndex } from '../../core/inventory/index-inventory.ts';
import type { Berth, Equipment, Outlet, Pedestal } from '../../core/inventory/inventory.ts';
import { groupBy } from '../group-by.ts';

/** A dock as a single-line diagram: what feeds it, and pedestals on each feeder in their order from the shore. */
export interface DockDiagram {
  /** What the feeders hang on, up to the service, in the order of the inventory. */
  readonly supply: readonly Equipment[];
  readonly lines: readonly DockLine[];
  /** Berths along a face, and those without an outlet in reach. */
  readonly others: readonly Berth[];
}

export interface DockLine {
  /** The feeder, or whatever else the pedestals hang on. */
  readonly part: Equipment;
  readonly taps: readonly Tap[];
}

/** One pedestal with its outlets and the berths that hang off it. */
export interface Tap {
  readonly pedestal: Pedestal;
  /** A branch circuit of its own between the line and the pedestal. */
  readonly branch: Equipment | null;
  readonly outlets: readonly Outlet[];
  readonly berths: readonly Berth[];
}

export function dockDiagram(index: InventoryIndex, dockId: string): DockDiagram {
  const { inventory, equipment } = index;
  const pedestals = inventory.pedestals.filter((pedestal) => pedestal.dockId === dockId);
  const berths = berthsByPedestal(index, dockId);
  const outlets = groupBy(inventory.outlets, ({ pedestalId }) => pedestalId);
  const lines = new Map<string, Tap[]>();
  for (const pedestal of pedestals) {
    const fedBy = equipment.get(pedestal.fedById);
    const isBranch = fedBy?.kind === 'branchCircuit' && fedBy.parentId !== null;
    const lineId = isBranch ? (fedBy.parentId ?? '') : pedestal.fedById;
    const tap = {
      pedestal,
      branch: isBranch ? fedBy : null,
      outlets: outlets.get(pedestal.id) ?? [],
      berths: berths.at.get(pedestal.id) ?? [],
    };
    lines.set(lineId, [...(lines.get(lineId) ?? []), tap]);
  }
  const drawn = [...lines].flatMap(([id, taps]) => {
    const part = equipment.get(id);
    return part === undefined ? [] : [{ part, taps: inOrder(taps) }];
  });
  drawn.sort((a, b) => alongOf(a.taps) - alongOf(b.taps));
  const above = new Set(drawn.flatMap(({ part }) => pathOf(equipment, part).slice(0, -1)));
  const supply = inventory.equipment.filter((part) => above.has(part));
  return { supply, lines: drawn, others: berths.others };
}

/** From the service down to the part itself. */
export function pathOf(equipment: ReadonlyMap<string, Equipment>, part: Equipment): Equipment[] {
  const path: Equipment[] = [];
  for (let step: Equipment | undefined = part; step !== undefined; step = equipment.get(step.parentId ?? '')) {
    path.unshift(step);
  }
  return path;
}

/** A berth hangs off the pedestal of the first outlet that it reaches; one made of several slips is not drawn twice. */
function berthsByPedestal({ inventory, outlets, spaceUnits }: InventoryIndex, dockId: string) {
  const at = new Map<string, Berth[]>();
  const others: Berth[] = [];
  for (const berth of inventory.berths) {
    const [unitId, ...more] = berth.unitIds;
    if (spaceUnits.get(unitId ?? '')?.dockId !== dockId || more.length > 0) continue;
    const pedestalId = outlets.get(berth.reaches[0]?.outletId ?? '')?.pedestalId;
    if (pedestalId === undefined || berth.faceFromM !== null) others.push(berth);
    else at.set(pedestalId, [...(at.get(pedestalId) ?? []), berth]);
  }
  return { at, others };
}

function inOrder(taps: readonly Tap[]): Tap[] {
  return [...taps].sort((a, b) => (a.pedestal.alongDockM ?? 0) - (b.pedestal.alongDockM ?? 0));
}

function alongOf([first]: readonly Tap[]): number {
  return first?.pedestal.alongDockM ?? 0;
}
