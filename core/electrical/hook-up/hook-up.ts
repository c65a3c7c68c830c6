import type { Boat } from '../../boats.ts';
import type { Finding, Verdict } from '../../findings.ts';
import type { AdapterKind } from '../../standards/adapter-kind.ts';
import type { LineName } from '../../standards/configuration.ts';
import type { SupplyOutlet } from './supply-outlet.ts';

/**
 * What joins one boat to the dock, as data that can be stored: which outlet or connector goes into which plug or
 * inlet. A hook-up without joints is a boat that takes no power. A cord set lies before every inlet and has the
 * inlet's configuration; adapters sit at the dock's end of it.
 */
export interface HookUp {
  readonly adapters: readonly PlacedAdapter[];
  readonly joints: readonly Joint[];
}

export interface PlacedAdapter {
  /** Unique within the hook-up: `A1`. */
  readonly ref: string;
  readonly kindId: string;
  /** Whose piece it is; `toBring` where nobody is known to have one. */
  readonly from: 'aboard' | 'stock' | 'toBring';
  readonly stockId: string | null;
}

export interface Joint {
  readonly from: PowerSource;
  readonly to: PowerSink;
}

export type PowerSource =
  | { readonly kind: 'outlet'; readonly outletId: string }
  | { readonly kind: 'connector'; readonly adapter: string; readonly fitting: string };

export type PowerSink =
  | { readonly kind: 'plug'; readonly adapter: string; readonly fitting: string }
  | { readonly kind: 'inlet'; readonly inletId: string; readonly configurationId: string };

/** The facts of a boat that a hook-up needs. */
export type HookUpBoat = Pick<
  Boat,
  | 'id'
  | 'name'
  | 'wantsPower'
  | 'frequenciesHz'
  | 'inlets'
  | 'cordSets'
  | 'adapterKindIds'
  | 'neutralBond'
  | 'ownSupplies'
> &
  Partial<Pick<Boat, 'appliances'>>;

/** What a hook-up is judged against. `outlets` and `adapterKinds` hold at least those that the hook-up names. */
export interface HookUpContext {
  readonly boat: HookUpBoat;
  readonly outlets: ReadonlyMap<string, SupplyOutlet>;
  readonly adapterKinds: ReadonlyMap<string, AdapterKind>;
  /** The marina's setting: refuse a cord or adapter conductor rated below what protects it. */
  readonly refuseCordBelowBreaker: boolean;
}

export interface JudgedHookUp {
  readonly hookUp: HookUp;
  readonly verdict: Verdict;
  /** Gravest first. */
  readonly findings: readonly Finding[];
  readonly inlets: readonly InletSupply[];
  /** Outlets taken, in the order given. */
  readonly outletIds: readonly string[];
  /** What the boat can draw in all, VA; null where a breaker or a voltage is unknown. */
  readonly availableVa: number | null;
}

/** What arrives at one inlet. */
export interface InletSupply {
  readonly inletId: string;
  readonly configurationId: string;
  /** Cord sets aboard of this configuration; null where nobody has said which are aboard. */
  readonly cordSetIds: readonly string[] | null;
  readonly legs: readonly InletLeg[];
  /** Nominal volts between the first two lines; 0 where both are one line, null where one is dead or unknown. */
  readonly lineToLineV: number | null;
  readonly availableVa: number | null;
}

export interface InletLeg {
  readonly terminal: LineName;
  /** The outlet that feeds it; null: the leg is dead. */
  readonly outletId: string | null;
  readonly line: LineName | null;
  readonly lineToNeutralV: number | null;
  /** The least of breakers, conductors, cord set and inlet, A. */
  readonly availableA: number | null;
}
