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
}

export interface CordSet {
  readonly id: string;
  readonly lengthM: number;
  readonly configurationId: string;
  readonly ratedA: number;
}

export interface Appliance {
  readonly name: string;
  readonly loadVa: number;
  readonly motor: boolean;
  readonly continuous: boolean;
  /** Inlet it hangs on, and `L1`, `L2` or `L1-L2`; null unknown. */
  readonly inletId: string | null;
  readonly legs: 'L1' | 'L2' | 'L1-L2' | null;
}
