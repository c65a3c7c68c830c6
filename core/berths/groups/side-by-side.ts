import type { InventoryIndex } from '../../inventory/index-inventory.ts';
import type { Berth } from '../../inventory/inventory.ts';

/** Where units of space lie along their docks: neighbours of one dock and kind have numbers that follow each other. */
export type UnitNumbers = ReadonlyMap<string, number>;

/**
 * Numbers the units by their order in the inventory, which is the order along the dock (common practice: berths are
 * numbered from the shore on). Between docks, and between slips and a face, a number is left out.
 */
export function unitNumbers({ inventory }: Pick<InventoryIndex, 'inventory'>): UnitNumbers {
  const numbers = new Map<string, number>();
  let next = 0;
  for (const dock of inventory.docks) {
    let kind: string | null = null;
    for (const unit of inventory.spaceUnits) {
      if (unit.dockId !== dock.id) continue;
      if (kind !== unit.kind) next += 1;
      kind = unit.kind;
      numbers.set(unit.id, next);
      next += 1;
    }
    next += 1;
  }
  return numbers;
}

/** Lengths of the gaps between the runs that berths lie in, in units of space; as many as there are runs, less one. */
export function gapsBetween(numbers: UnitNumbers, berths: readonly Pick<Berth, 'unitIds'>[]): number[] {
  const taken = berths.flatMap(({ unitIds }) => unitIds.map((id) => numbers.get(id) ?? Number.POSITIVE_INFINITY));
  const ordered = [...new Set(taken)].sort((a, b) => a - b);
  return ordered.slice(1).flatMap((number, i) => {
    const gap = number - (ordered[i] ?? number) - 1;
    return gap > 0 ? [gap] : [];
  });
}

/** In how many runs berths lie: 1 where all of them are side by side. */
export function runsOf(numbers: UnitNumbers, berths: readonly Pick<Berth, 'unitIds'>[]): number {
  return berths.length === 0 ? 0 : gapsBetween(numbers, berths).length + 1;
}
