import type { Boat } from '../../boats.ts';
import type { TightestLimit } from '../../electrical/demand/admission.ts';
import type { JudgedHookUp } from '../../electrical/hook-up/hook-up.ts';
import type { BoatVolts } from '../../electrical/network/boat-volts.ts';
import type { Finding, MissingFact, Verdict } from '../../findings.ts';
import type { InventoryIndex } from '../../inventory/index-inventory.ts';
import type { Orientation } from '../../inventory/inventory.ts';
import type { Period } from '../../periods.ts';
import type { DemandPractice } from '../../standards/demand-practice.ts';
import type { MetreRange } from '../metres.ts';
import type { OutletUse, SpaceUse, StockUse } from '../occupancy.ts';
import type { LocalDays } from '../tide.ts';

/** What the boater asked for. Null: no wish. */
export interface Wishes {
  readonly dockId: string | null;
  readonly berthId: string | null;
  readonly orientation: Orientation | null;
  readonly mooring: 'floating' | 'fixed' | null;
}

export const noWishes: Wishes = { dockId: null, berthId: null, orientation: null, mooring: null };

/** One stay for which every berth is judged. Leave the stay's own uses out of the occupancy when it moves. */
export interface OptionsQuestion {
  readonly index: InventoryIndex;
  readonly practice: DemandPractice;
  readonly boat: Boat;
  /** Arrival to departure. */
  readonly period: Period;
  /** Departure and the turnover time after it: until then the space is kept. */
  readonly occupiedUntil: number;
  /** Says an instant by the marina's clocks: core knows no time zone. Left out, nothing is said of when a berth is free. */
  readonly sayTime?: (at: number) => string;
  /** The stay's days in the marina's time zone, for the tide. */
  readonly localDays: LocalDays;
  readonly wishes: Wishes;
  /** Everything in use at some moment of `[arrival, occupiedUntil)`. */
  readonly spaceUses: readonly SpaceUse[];
  readonly outletUses: readonly OutletUse[];
  readonly stockUses: readonly StockUse[];
}

/** One berth judged for one stay, taken or refused, with every rule that spoke. */
export interface BerthOption {
  readonly berthId: string;
  readonly label: string;
  readonly dockId: string;
  readonly verdict: Verdict;
  readonly orientation: Orientation;
  /** Metres taken on a face; null on any other berth. */
  readonly place: MetreRange | null;
  /** Null where the boat takes no power or its power could not be judged; the findings say which. */
  readonly hookUp: JudgedHookUp | null;
  /** Outlets kept for the boat: those of the hook-up, or a cautious one while its power is unconfirmed. */
  readonly outletIds: readonly string[];
  readonly cords: readonly CordNeeded[];
  /** The limit above the outlets with the smallest share left; null without outlets or without any limit. */
  readonly tightest: TightestLimit | null;
  /** Volts that the boat finds at its outlets, solved; null without outlets and where the berth cannot be offered. */
  readonly volts: BoatVolts | null;
  /** Gravest first. */
  readonly findings: readonly Finding[];
  /** Compared in this order; shown so that a ranking can be questioned. */
  readonly score: readonly ScorePart[];
}

/** The cord from one outlet (or the adapter at it) to one inlet. */
export interface CordNeeded {
  readonly outletId: string;
  readonly inletId: string;
  /** Length that reaches for certain, m; null where none is known to. */
  readonly lengthM: number | null;
}

export interface ScorePart {
  readonly name: string;
  readonly value: number;
  readonly unit: string;
  readonly better: 'lower' | 'higher';
}

export interface BerthBrief {
  readonly berthId: string;
  readonly label: string;
  readonly verdict: Verdict;
}

/** A refused berth that little would mend. */
export interface NearMiss {
  readonly berthId: string;
  readonly label: string;
  readonly mends: readonly string[];
}

export interface BerthOptions {
  /** Best first, as many as were asked for. */
  readonly options: readonly BerthOption[];
  /** Fewest refusals first, as many as were asked for. */
  readonly refused: readonly BerthOption[];
  /** How many berths could take the boat, and how many are refused, in all. */
  readonly counts: { readonly options: number; readonly refused: number };
  /** Every berth of the marina, best first. */
  readonly all: readonly BerthBrief[];
  readonly nearMisses: readonly NearMiss[];
  /** The question whose answer would change most; null where nothing unknown matters. */
  readonly question: OpenQuestion | null;
}

export interface OpenQuestion {
  readonly missingFact: MissingFact;
  /** Berths whose answer depends on it. */
  readonly berths: number;
}
