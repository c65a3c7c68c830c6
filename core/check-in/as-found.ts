import type { Boat, CordSet, Inlet, NeutralBond, OwnSupply } from '../boats.ts';
import type { SupplyOutlet } from '../electrical/hook-up/supply-outlet.ts';
import type { Fact } from '../facts.ts';
import type { GroundFault } from '../inventory/inventory.ts';
import type { LineName } from '../standards/configuration.ts';

/** An inlet as the dockhand sees it. Null, or left as told: not looked at. */
export interface InletAsFound {
  readonly id: string;
  readonly configurationId: string | null;
  readonly mainBreakerA: number | null;
  readonly duty: 'house' | 'airConditioning' | 'charger' | 'notPower' | null;
  readonly needsLineToLine: boolean | null;
}

/** What was seen of a boat at the dock. Null: nobody has looked, and what was told before stands. */
export interface BoatAsFound {
  readonly inlets: readonly InletAsFound[];
  readonly cordSets: readonly CordSet[] | null;
  readonly adapterKindIds: readonly string[] | null;
  readonly frequenciesHz: readonly number[] | null;
  readonly wantsPower: boolean | null;
  readonly neutralBond: NeutralBond | null;
  readonly ownSupplies: readonly OwnSupply[] | null;
}

/** What was seen of an outlet. Null: nobody has looked, and the inventory stands. */
export interface OutletAsFound {
  readonly outletId: string;
  readonly lines: readonly LineName[] | null;
  readonly breakerA: number | null;
  readonly groundFault: Pick<GroundFault, 'device' | 'settingMa'> | null;
}

/** The boat with what was seen in place of what was told. An inlet of a new id is one that nobody had told of. */
export function boatAsFound(boat: Boat, found: BoatAsFound, at: number): Boat {
  const seen = <T>(value: T | null, told: Fact<T> | null): Fact<T> | null =>
    value === null ? told : { value, origin: 'dockhand', at };
  const known = boat.inlets.map((inlet) => {
    const as = found.inlets.find(({ id }) => id === inlet.id);
    return as === undefined ? inlet : inletAsFound(inlet, as, seen);
  });
  const added = found.inlets.filter(({ id }) => !boat.inlets.some((inlet) => inlet.id === id));
  return {
    ...boat,
    wantsPower: seen(found.wantsPower, boat.wantsPower),
    frequenciesHz: seen(found.frequenciesHz, boat.frequenciesHz),
    cordSets: seen(found.cordSets, boat.cordSets),
    adapterKindIds: seen(found.adapterKindIds, boat.adapterKindIds),
    neutralBond: seen(found.neutralBond, boat.neutralBond ?? null),
    ownSupplies: seen(found.ownSupplies, boat.ownSupplies ?? null),
    inlets: [...known, ...added.map((as) => inletAsFound(unknownInlet(as.id), as, seen))],
  };
}

type Seen = <T>(value: T | null, told: Fact<T> | null) => Fact<T> | null;

function inletAsFound(inlet: Inlet, as: InletAsFound, seen: Seen): Inlet {
  return {
    ...inlet,
    configurationIds: seen(as.configurationId === null ? null : [as.configurationId], inlet.configurationIds),
    mainBreakerA: seen(as.mainBreakerA, inlet.mainBreakerA),
    duty: seen(as.duty, inlet.duty),
    needsLineToLine: seen(as.needsLineToLine, inlet.needsLineToLine),
  };
}

function unknownInlet(id: string): Inlet {
  return {
    id,
    configurationIds: null,
    mainBreakerA: null,
    fromBowM: null,
    side: null,
    duty: null,
    needsLineToLine: null,
  };
}

/** The outlets with what was seen in place of what the inventory says. */
export function outletsAsFound(
  outlets: readonly SupplyOutlet[],
  found: readonly OutletAsFound[],
): readonly SupplyOutlet[] {
  const seen = new Map(found.map((each) => [each.outletId, each]));
  return outlets.map((outlet) => {
    const as = seen.get(outlet.id);
    if (as === undefined) return outlet;
    return {
      ...outlet,
      lines: as.lines ?? outlet.lines,
      breakerA: as.breakerA ?? outlet.breakerA,
      groundFault: as.groundFault === null ? outlet.groundFault : { ...outlet.groundFault, ...as.groundFault },
    };
  });
}
