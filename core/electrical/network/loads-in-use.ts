import type { OutletUse, UsedBy } from '../../berths/occupancy.ts';
import type { InventoryIndex } from '../../inventory/index-inventory.ts';
import type { Equipment, Outlet } from '../../inventory/inventory.ts';
import { startsSupply } from '../../inventory/supplies.ts';
import type { DemandPractice } from '../../standards/demand-practice.ts';
import type { LoadBasis } from '../demand/demand-of-part.ts';
import { loadModel } from '../demand/load-model.ts';
import { admittedDemand } from '../demand/practice-factor.ts';
import type { OutletLoad } from './outlet-loads.ts';

/** One outlet in use with the load that a solve takes for it. */
export interface LoadInUse {
  readonly outlet: Outlet;
  readonly by: UsedBy;
  /** `stated`: what its boat says it draws. `rated`: nobody said, or the basis is the rating; then it is assumed. */
  readonly from: LoadBasis;
  readonly load: OutletLoad;
}

/** The share of their ratings that outlets in use on one supply are taken to draw at once. */
export interface SupplyShare {
  readonly equipmentId: string;
  readonly label: string;
  readonly receptacles: number;
  /** Demand over connected load at the part where the supply starts, by the admission formula of the practice. */
  readonly ratedShare: number;
}

export interface LoadsInUse {
  readonly loads: readonly LoadInUse[];
  /** Empty on the stated basis, where no factor applies. */
  readonly shares: readonly SupplyShare[];
}

/**
 * What outlets in use draw, all at once. Rated: their rated amperes, times the share that the practice gives for the
 * receptacles in use on the same supply, whatever the volts. Stated: what the boats say, the full rating where nobody
 * said, as constant power. An outlet counts once, with the larger of its loads; out of service it carries nothing.
 */
export function loadsInUse(
  index: InventoryIndex,
  practice: DemandPractice,
  uses: readonly OutletUse[],
  basis: LoadBasis,
): LoadsInUse {
  const used = new Map<string, { outlet: Outlet; use: OutletUse }>();
  for (const use of uses) {
    const outlet = index.outlets.get(use.outletId);
    if (outlet === undefined || use.by.kind === 'outOfService') continue;
    const before = used.get(outlet.id)?.use;
    if (before === undefined || isLess(before.statedVa, use.statedVa)) used.set(outlet.id, { outlet, use });
  }
  const shares =
    basis === 'rated'
      ? sharesOf(
          index,
          practice,
          [...used.values()].map(({ outlet }) => outlet),
        )
      : [];
  const shareOf = new Map(shares.map(({ equipmentId, ratedShare }) => [equipmentId, ratedShare]));
  const loads = [...used.values()].map(({ outlet, use: { by, statedVa } }): LoadInUse => {
    const outletId = outlet.id;
    if (basis === 'rated') {
      const share = shareOf.get(supplyStart(index, outlet)?.id ?? '') ?? 1;
      return { outlet, by, from: 'rated', load: { outletId, demand: { basis: 'rated', share } } };
    }
    const model = 'constantPower';
    if (statedVa === null) return { outlet, by, from: 'rated', load: { outletId, demand: { basis: 'rated' }, model } };
    return { outlet, by, from: 'stated', load: { outletId, demand: { basis: 'spread', totalVa: statedVa }, model } };
  });
  return { loads, shares };
}

/** Null counts in full, so nothing is more. */
function isLess(a: number | null, b: number | null): boolean {
  return a !== null && (b === null || a < b);
}

function sharesOf(index: InventoryIndex, practice: DemandPractice, outlets: readonly Outlet[]): SupplyShare[] {
  const model = loadModel(index);
  const bySupply = new Map<Equipment, Outlet[]>();
  for (const outlet of outlets) {
    const start = supplyStart(index, outlet);
    if (start === null) continue;
    const ofSupply = bySupply.get(start);
    if (ofSupply === undefined) bySupply.set(start, [outlet]);
    else ofSupply.push(outlet);
  }
  return [...bySupply].map(([{ id: equipmentId, label }, used]) => {
    const ratings = used.flatMap((outlet) => model.outletLoad(outlet).rating?.connectedVa ?? []);
    const connectedVa = ratings.reduce((sum, va) => sum + va, 0);
    const ratedShare = connectedVa > 0 ? admittedDemand(practice, ratings).demandVa / connectedVa : 1;
    return { equipmentId, label, receptacles: used.length, ratedShare };
  });
}

function supplyStart(index: InventoryIndex, outlet: Outlet): Equipment | null {
  return index.pathOfOutlet.get(outlet.id)?.find(startsSupply) ?? null;
}
