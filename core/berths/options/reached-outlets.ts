import { loadModel } from '../../electrical/demand/load-model.ts';
import { feedOf, ownFacts } from '../../electrical/hook-up/like-outlets.ts';
import { type SupplyOutlet, supplyOutlet } from '../../electrical/hook-up/supply-outlet.ts';
import type { InventoryIndex } from '../../inventory/index-inventory.ts';
import type { Berth, Dock, Outlet, Reach } from '../../inventory/inventory.ts';
import { numbering } from '../../numbering.ts';
import { configuration } from '../../standards/configurations.ts';

/** An outlet that a berth reaches, with what ranking asks of it again and again. */
export interface ReachedOutlet {
  readonly outlet: Outlet;
  readonly reach: Reach;
  readonly supply: SupplyOutlet;
  /** Its place in the inventory. */
  readonly ordinal: number;
  /** Of its configuration; 0 where that is unknown. */
  readonly ratedA: number;
  /** A 15 or 20 A receptacle is none. */
  readonly isShorePower: boolean;
  /** The same number: alike by themselves. */
  readonly ownClass: number;
  /** The same number: alike and on the same supply and devices, so that any does as well as another for a hook-up. */
  readonly likeClass: number;
  /** The same number: the same load on the same equipment. */
  readonly loadClass: number;
}

/** A berth with what never changes while the inventory stands. */
export interface BerthFacts {
  readonly berth: Berth;
  readonly dock: Dock;
  readonly reached: readonly ReachedOutlet[];
  /** In class order. */
  readonly shorePower: readonly ReachedOutlet[];
  /** Berths with the same number take the same boats. */
  readonly fitClass: number;
}

/** An order by facts, so that berths which reach the same kinds of outlets in another order are alike. */
export function inClassOrder(a: ReachedOutlet, b: ReachedOutlet): number {
  return a.ownClass - b.ownClass || a.likeClass - b.likeClass;
}

const known = new WeakMap<InventoryIndex, (berth: Berth) => BerthFacts>();

/** Facts of a berth of this inventory, each worked out once per inventory. */
export function berthFacts(index: InventoryIndex, berth: Berth): BerthFacts {
  const factsOf = known.get(index) ?? prepareFacts(index);
  known.set(index, factsOf);
  return factsOf(berth);
}

function prepareFacts(index: InventoryIndex): (berth: Berth) => BerthFacts {
  const ofBerths = new Map<Berth, BerthFacts>();
  const fitClassOf = numbering();
  const describeOutlet = outletFacts(index);
  return (berth) => {
    const found = ofBerths.get(berth);
    if (found !== undefined) return found;
    const { lengthM, beamM, depthM, mooring, faceFromM, faceUntilM } = berth;
    const reached = berth.reaches.flatMap((reach) => {
      const outlet = index.outlets.get(reach.outletId);
      return outlet === undefined ? [] : [{ ...describeOutlet(outlet), reach }];
    });
    const facts: BerthFacts = {
      berth,
      dock: dockOf(index, berth),
      reached,
      shorePower: reached.filter(({ isShorePower }) => isShorePower).sort(inClassOrder),
      fitClass: fitClassOf(`${lengthM} ${beamM} ${depthM} ${mooring} ${faceFromM} ${faceUntilM}`),
    };
    ofBerths.set(berth, facts);
    return facts;
  };
}

function outletFacts(index: InventoryIndex): (outlet: Outlet) => Omit<ReachedOutlet, 'reach'> {
  const model = loadModel(index);
  const ownClassOf = numbering();
  const likeClassOf = numbering();
  const ofOutlets = new Map<Outlet, Omit<ReachedOutlet, 'reach'>>();
  return (outlet) => {
    const found = ofOutlets.get(outlet);
    if (found !== undefined) return found;
    const supply = supplyOutlet(index, outlet);
    const pattern = configuration(outlet.configurationId);
    const own = ownFacts(supply);
    const facts = {
      outlet,
      supply,
      ordinal: model.ordinals.get(outlet.id) ?? -1,
      ratedA: pattern?.ratedA ?? 0,
      isShorePower: pattern?.shorePower !== false,
      ownClass: ownClassOf(own),
      likeClass: likeClassOf(own + feedOf(supply, (id) => id)),
      loadClass: model.outletLoad(outlet).classId,
    };
    ofOutlets.set(outlet, facts);
    return facts;
  };
}

function dockOf(index: InventoryIndex, berth: Berth): Dock {
  const unit = index.spaceUnits.get(berth.unitIds[0] ?? '');
  const dock = unit === undefined ? undefined : index.docks.get(unit.dockId);
  if (dock === undefined) throw new Error(`berth "${berth.id}" stands on no dock: validate the inventory first`);
  return dock;
}
