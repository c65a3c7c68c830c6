import { loadModel } from '../../electrical/demand/load-model.ts';
import type { InventoryIndex } from '../../inventory/index-inventory.ts';
import type { Equipment, Outlet } from '../../inventory/inventory.ts';
import type { OutletUse } from '../occupancy.ts';
import type { ReachedOutlet } from './reached-outlets.ts';

type LinesA = [L1: number, L2: number, L3: number];

/**
 * Greatest less smallest load of the lines on the feeders of some outlets, with these in use too, A. Ratings of all of
 * the period's uses taken together: for ranking, never for a limit.
 */
export function prepareUnbalance(
  index: InventoryIndex,
  uses: readonly OutletUse[],
): (outlets: readonly ReachedOutlet[]) => number {
  const model = loadModel(index);
  const add = (sums: LinesA, outlet: Outlet) => {
    const lineA = model.outletLoad(outlet).rating?.lineA ?? {};
    sums[0] += lineA.L1 ?? 0;
    sums[1] += lineA.L2 ?? 0;
    sums[2] += lineA.L3 ?? 0;
  };
  const feederOf = (outletId: string): Equipment | undefined => index.pathOfOutlet.get(outletId)?.[0];
  const used = new Map<Equipment, LinesA>();
  for (const { outletId, by } of uses) {
    const outlet = index.outlets.get(outletId);
    const feeder = feederOf(outletId);
    if (outlet === undefined || feeder === undefined || by.kind === 'outOfService') continue;
    const sums: LinesA = used.get(feeder) ?? [0, 0, 0];
    used.set(feeder, sums);
    add(sums, outlet);
  }
  return (outlets) => {
    let worstA = 0;
    for (const feeder of new Set(outlets.map(({ outlet }) => feederOf(outlet.id)))) {
      if (feeder === undefined) continue;
      const [L1 = 0, L2 = 0, L3 = 0] = used.get(feeder) ?? [];
      const sums: LinesA = [L1, L2, L3];
      for (const { outlet } of outlets) if (feederOf(outlet.id) === feeder) add(sums, outlet);
      const lines = feeder.lines ?? index.systemOfEquipment.get(feeder.id)?.lines.map(({ name }) => name) ?? [];
      const carried = lines.map((name) => sums[name === 'L1' ? 0 : name === 'L2' ? 1 : 2]);
      if (carried.length > 1) worstA = Math.max(worstA, Math.max(...carried) - Math.min(...carried));
    }
    return worstA;
  };
}
