import type { MaybeFact } from './facts.ts';

/**
 * A visiting or resident boat. Every fact carries origin and time; null is unknown and is never read as "none".
 * Lengths in metres, from the boat's own documents or as said.
 */
export interface Boat {
  readonly id: string;
  readonly name: string;
  /** Length overall with everything included: pulpit, platform, dinghy on davits. */
  readonly lengthOverallM: MaybeFact<number>;
  readonly beamM: MaybeFact<number>;
  readonly hull: MaybeFact<'monohull' | 'multihull'>;
  readonly draftM: MaybeFact<number>;
  /** Whether it wants shore power at all. */
  readonly wantsPower: MaybeFact<boolean>;
  readonly airConditioning: MaybeFact<boolean>;
  /** Frequencies its equipment accepts, Hz; null is unknown. */
  readonly frequenciesHz: MaybeFact<readonly number[]>;
  readonly inlets: readonly Inlet[];
  /** Null: nobody has said which cords are aboard. An empty list: none are. */
  readonly cordSets: MaybeFact<readonly CordSet[]>;
  /** Kinds of adapters aboard, by id; null unknown. */
  readonly adapterKindIds: MaybeFact<readonly string[]>;
  readonly appliances: MaybeFact<readonly Appliance[]>;
  /** What the boat says it draws, VA in all; null unknown. */
  readonly statedLoadVa: MaybeFact<number>;
  /** Where its neutral is joined to ground aboard, isolation transformers apart. Absent: nobody has asked. */
  readonly neutralBond?: MaybeFact<NeutralBond>;
  /** Generators and inverters aboard; an empty list: there are none. Absent: nobody has asked. */
  readonly ownSupplies?: MaybeFact<readonly OwnSupply[]>;
}

/** `ownSupply`: only while a generator or inverter aboard feeds; `always`: on shore power, too. */
export type NeutralBond = 'none' | 'ownSupply' | 'always';

export interface OwnSupply {
  readonly kind: 'generator' | 'inverter';
  /** `switched`: a transfer switch parts it from shore power; `parallel`: it can feed the same conductors; null unknown. */
  readonly transfer: 'switched' | 'parallel' | null;
}

export interface Inlet {
  /** Unique within the boat: `I1`. */
  readonly id: string;
  /** One configuration when confirmed; several when what was said fits several ("50 A"). */
  readonly configurationIds: MaybeFact<readonly string[]>;
  /** The boat's own main breaker behind this inlet, A per line. */
  readonly mainBreakerA: MaybeFact<number>;
  /** Distance of the inlet from the bow's foremost point, m. */
  readonly fromBowM: MaybeFact<number>;
  readonly side: MaybeFact<'port' | 'starboard' | 'centre'>;
  /** What the inlet feeds: everything, or air conditioning or a charger alone; not every cover in a side is a power inlet. */
  readonly duty: MaybeFact<'house' | 'airConditioning' | 'charger' | 'notPower'>;
  /** Whether the loads behind it need line-to-line volts (240 V), or line to neutral only. */
  readonly needsLineToLine: MaybeFact<boolean>;
  /** An isolation transformer between this inlet and its loads. Absent: nobody has asked, and none is reckoned with. */
  readonly transformer?: MaybeFact<IsolationTransformer | 'none'>;
  /** Of equipment that is built for more than its pattern's volts: what is marked on it. Absent: the usual tolerance. */
  readonly accepts?: MaybeFact<AcceptedSupply>;
}

export interface IsolationTransformer {
  /** `dockBox`: on the dock, before the cord. */
  readonly place: 'aboard' | 'dockBox';
  /** Across two lines of the inlet where it has them: then it uses no neutral. */
  readonly primaryV: number;
  /** Over the whole secondary. */
  readonly secondaryV: number;
  /** Two: the secondary has a grounded centre, half of its volts on each leg. */
  readonly legs: 1 | 2;
  /** Null unknown. */
  readonly ratedVa: number | null;
}

/** The isolation transformer stated behind an inlet, or null. */
export function transformerOf({ transformer }: Inlet): IsolationTransformer | null {
  const stated = transformer?.value ?? 'none';
  return stated === 'none' ? null : stated;
}

/** As on a charger for 100-250 V, 50/60 Hz. */
export interface AcceptedSupply {
  readonly lowestV: number;
  readonly highestV: number;
  readonly frequenciesHz: readonly number[];
}

export interface CordSet {
  readonly id: string;
  readonly lengthM: number;
  readonly configurationId: string;
  readonly ratedA: number;
}

export const legPlaces = ['L1', 'L2', 'L3', 'L1-L2', 'L1-L3', 'L2-L3', 'L1-L2-L3'] as const;
/** Line to neutral on one leg, between two, or a three-phase load on all three. */
export type LegPlace = (typeof legPlaces)[number];

export interface Appliance {
  readonly name: string;
  readonly loadVa: number;
  readonly motor: boolean;
  readonly continuous: boolean;
  /** Inlet it hangs on, and its legs there; null unknown. */
  readonly inletId: string | null;
  readonly legs: LegPlace | null;
  /** Fastened in place (water heater, dryer), for a form's factor for several of them; left out: not. */
  readonly fixed?: boolean;
  /** When it runs; left out: always. */
  readonly use?: 'always' | 'heating' | 'cooling' | 'heatingAndCooling';
}
