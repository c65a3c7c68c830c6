import type { AdapterKind } from '../standards/adapter-kind.ts';
import type { LineName } from '../standards/configuration.ts';
import type { DemandPractice } from '../standards/demand-practice.ts';

/**
 * A marina as data: what is fixed on its docks, without boats or stays. The same shape is the inventory document of
 * the API. `null` is unknown: the check that needs the value answers *not assessed* or `confirm`, never "fine".
 */
export interface Inventory {
  readonly name: string;
  /** IANA time zone. */
  readonly timeZone: string;
  readonly settings: MarinaSettings;
  /** The marina's own demand practices, beside the built-in ones. */
  readonly practices: readonly DemandPractice[];
  /** The marina's own kinds of adapters, beside the built-in ones. */
  readonly adapterKinds: readonly AdapterKind[];
  readonly docks: readonly Dock[];
  readonly equipment: readonly Equipment[];
  readonly pedestals: readonly Pedestal[];
  readonly outlets: readonly Outlet[];
  readonly spaceUnits: readonly SpaceUnit[];
  readonly berths: readonly Berth[];
  readonly adapterStock: readonly AdapterStock[];
}

export interface MarinaSettings {
  /** Built-in or own demand practice by id. */
  readonly practiceId: string;
  /** Counting basis of design checks; admission always takes the larger of both. */
  readonly countingBasis: 'all' | 'mostLoadedLine';
  /** The basis that refuses a boat when a limit is passed; the other one cautions. */
  readonly refusingBasis: 'rated' | 'stated';
  /** How far a boat may stand out beyond its berth, m. */
  readonly overhangAllowedM: number;
  /** Free width wanted on each side of a boat, m. */
  readonly beamClearanceM: number;
  readonly underKeelAllowanceM: number;
  /** Lowest predicted tide against the depths' datum, m (negative is below datum), for days that no entry covers. */
  readonly lowestTideM: number | null;
  /** Predicted low waters: local days `from` (included) to `until` (excluded), `YYYY-MM-DD`, lowest height in m. */
  readonly predictedLowTides: readonly { readonly from: string; readonly until: string; readonly heightM: number }[];
  /** Greatest range of the tide, m: a cord from a fixed dock follows the boat down. */
  readonly tidalRangeM: number;
  /** Slack in a cord beyond its routed way, m. */
  readonly cordSlackM: number;
  /** Lengths of cord sets that people own or buy, m, ascending; an answer names the shortest that reaches. */
  readonly usualCordLengthsM: readonly number[];
  readonly cordsInSeriesAllowed: 1 | 2;
  /** Refuse (instead of caution) a cord or adapter conductor rated below the outlet's breaker. */
  readonly refuseCordBelowBreaker: boolean;
  /** Time between two boats on one berth, minutes. */
  readonly turnoverMinutes: number;
  /** Local hour (0-23) of the usual arrival and departure, for dates given without a time. */
  readonly arrivalHour: number;
  readonly departureHour: number;
  /** Local hour (0-23) from which a boat that was expected before it is a no-show. */
  readonly noShowHour: number;
  /** Notice, in hours, that a holder gives before coming back early from a released absence. */
  readonly recallNoticeHours: number;
}

export interface Dock {
  readonly id: string;
  readonly label: string;
  readonly kind: 'floating' | 'fixed';
  readonly lengthM: number | null;
}

export type EquipmentKind = 'service' | 'transformer' | 'panelboard' | 'feeder' | 'branchCircuit';

/** One part of the distribution tree. Each limit is kept apart; a part with none of them is *not assessed*. */
export interface Equipment {
  readonly id: string;
  readonly label: string;
  readonly kind: EquipmentKind;
  /** The part that feeds it; null for a service. */
  readonly parentId: string | null;
  /** Supply system on its load side. A service and a transformer must have one; elsewhere null means the parent's. */
  readonly systemId: string | null;
  /** Lines that it takes of what feeds it (a transformer: on its primary side); null means all of them. */
  readonly lines: readonly LineName[] | null;
  readonly breakerA: number | null;
  /** Ampacity of its line conductors after all corrections, A. */
  readonly conductorAmpacityA: number | null;
  readonly neutralAmpacityA: number | null;
  readonly busA: number | null;
  readonly conductor: Conductor | null;
  readonly transformer: Transformer | null;
  readonly groundFault: GroundFault;
  /** Loads on it that are not shore power, outside the demand factor (lighting, office, lifts). */
  readonly otherLoads: readonly OtherLoad[];
  /** Earthing of the supply, on a service or transformer; null unknown. A combined neutral-earth feeds no boat. */
  readonly earthing: 'TN-S' | 'TN-C-S' | 'TT' | 'groundedNeutral' | null;
}

export interface Conductor {
  readonly material: 'copper' | 'aluminium';
  /** `14` ... `4/0` AWG or `250` ... `1000` kcmil, as in the conductor tables; or mm2 with `mm2` as unit. */
  readonly size: string;
  readonly sizeUnit: 'AWG' | 'kcmil' | 'mm2';
  readonly parallelSets: number;
  readonly lengthM: number | null;
}

export interface Transformer {
  readonly ratedKva: number | null;
  readonly connection: 'centreTapped' | 'highLegBank' | 'deltaWye' | 'wyeWye';
  /** Lines of the primary side that feed it; null means all that its parent carries. */
  readonly percentR: number | null;
  readonly percentX: number | null;
}

/** `unknown` is a device nobody has looked for, and is not safe; `none` is known to be absent. */
export interface GroundFault {
  readonly device: 'fitted' | 'none' | 'unknown';
  readonly settingMa: number | null;
  readonly delayMs: number | null;
}

export interface OtherLoad {
  readonly label: string;
  /** Line-to-neutral load by line, VA. */
  readonly loadVa: Partial<Record<LineName, number>>;
}

export interface Pedestal {
  readonly id: string;
  readonly label: string;
  readonly dockId: string;
  readonly fedById: string;
  /** Distance from the dock's shore end, m. */
  readonly alongDockM: number | null;
}

/** One receptacle with its own breaker. */
export interface Outlet {
  readonly id: string;
  readonly label: string;
  readonly pedestalId: string;
  /** The equipment that feeds it where that is not the pedestal's. */
  readonly fedById: string | null;
  readonly configurationId: string;
  /** Lines on its contacts, in the order of the configuration's L1, L2, L3; null unknown. */
  readonly lines: readonly LineName[] | null;
  readonly breakerA: number | null;
  readonly groundFault: GroundFault;
  /** Berth whose slip this outlet is dedicated to, for the two-voltage rule of design checks. */
  readonly dedicatedBerthId: string | null;
  readonly subMetered: boolean;
  /** Height of the outlet above the deck, m. */
  readonly heightM: number | null;
}

/** An exclusive unit of space: two boats are never on one at once. A face dock is one unit, taken by metre ranges. */
export interface SpaceUnit {
  readonly id: string;
  readonly label: string;
  readonly dockId: string;
  readonly kind: 'slip' | 'raftPlace' | 'face';
  /** Length along the dock of a face, m; null for the others. */
  readonly faceLengthM: number | null;
}

export type Mooring = 'fingerPier' | 'pilings' | 'alongside' | 'rafted' | 'sternTo';

/**
 * What is let to a boat: one unit, several units together, or a metre range of a face. Two berths may share units;
 * only one of them is taken at a time.
 */
export interface Berth {
  readonly id: string;
  readonly label: string;
  readonly unitIds: readonly string[];
  /** Metre range of the face that this berth covers; null unless its single unit is a face. */
  readonly faceFromM: number | null;
  readonly faceUntilM: number | null;
  readonly mooring: Mooring;
  /**
   * Side of its finger pier for one who looks from the water at the inner end; null: it has none, one on each side, or
   * nobody knows.
   */
  readonly fingerOn: 'left' | 'right' | null;
  /** Greatest length and width that find room, m. A face berth's length is its metre range. */
  readonly lengthM: number | null;
  readonly beamM: number | null;
  /** Depth at chart datum, m. */
  readonly depthM: number | null;
  readonly orientations: readonly Orientation[];
  readonly reaches: readonly Reach[];
}

/** `bowIn`: bow to the dock (slip), or bow towards the face's growing metres. */
export type Orientation = 'bowIn' | 'sternIn';

/**
 * An outlet that a berth can use and where it stands. In a slip `alongM` counts outward from the inner end of the
 * slip and `acrossM` from its centre line, positive to the right of one who looks at the inner end from the water. On
 * a face `alongM` is the metre along the face and `acrossM` the way back from the face's edge.
 */
export interface Reach {
  readonly outletId: string;
  readonly alongM: number | null;
  readonly acrossM: number | null;
  /** Extra way that the cord must take (round a piling, over a gangway), m. */
  readonly detourM: number;
}

/** Adapters that the dock lends. */
export interface AdapterStock {
  readonly id: string;
  readonly label: string;
  readonly adapterKindId: string;
  readonly quantity: number;
}
