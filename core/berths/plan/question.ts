import type { Boat } from '../../boats.ts';
import type { InventoryIndex } from '../../inventory/index-inventory.ts';
import type { Orientation } from '../../inventory/inventory.ts';
import type { Period } from '../../periods.ts';
import type { DemandPractice } from '../../standards/demand-practice.ts';
import type { MetreRange } from '../metres.ts';
import type { OutletUse, SpaceUse, StockUse } from '../occupancy.ts';
import type { CordNeeded, Wishes } from '../options/options.ts';
import type { LocalDays } from '../tide.ts';

/** How a marina wants its berths filled. */
export interface PlanSettings {
  /** What counts as served: boats, or their nights. */
  readonly serve: 'boats' | 'nights';
  /** Whether promised stays may be moved to another berth at all. */
  readonly movePromised: boolean;
  /** Whether a stay may get two berths, one after the other, rather than be turned away. */
  readonly moveInside: boolean;
}

/** A stay's place as it is today. */
export interface PresentPlace {
  readonly berthId: string;
  readonly orientation: Orientation;
  readonly place: MetreRange | null;
  readonly outletIds: readonly string[];
  readonly adapters: readonly AdapterOfPlan[];
  readonly cords: readonly CordNeeded[];
  /** What each outlet carries of what the boat says it draws, VA; null: its rating counts. */
  readonly statedVa: readonly (number | null)[];
}

export interface AdapterOfPlan {
  readonly kindId: string;
  readonly from: 'aboard' | 'stock' | 'toBring';
  readonly stockId: string | null;
}

/** One stay to be placed. What lies here already, and what is pinned, is part of the occupancy instead. */
export interface PlanStay {
  readonly id: string;
  readonly label: string;
  readonly boat: Boat;
  readonly wishes: Wishes;
  readonly period: Period;
  /** Departure and the turnover time after it. */
  readonly occupiedUntil: number;
  readonly localDays: LocalDays;
  readonly nights: number;
  /** Larger is served first: no number of stays of a lower priority outweighs one of a higher one. */
  readonly priority: number;
  /** A promised stay is always placed. */
  readonly promised: boolean;
  /** Null: it has no place today. */
  readonly present: PresentPlace | null;
  /** Moments inside it at which its boat could change berths. */
  readonly movesAt: readonly number[];
  /** Null: the stay itself; else the part of it before, or from, a planned move on. */
  readonly part: StayPart | null;
}

export interface StayPart {
  readonly movesAt: number;
  readonly isFirst: boolean;
}

export interface PlanQuestion {
  readonly index: InventoryIndex;
  readonly practice: DemandPractice;
  readonly stays: readonly PlanStay[];
  readonly settings: PlanSettings;
  /** Everything in use that the plan leaves where it is: the present places of `stays` are not part of it. */
  readonly spaceUses: readonly SpaceUse[];
  readonly outletUses: readonly OutletUse[];
  readonly stockUses: readonly StockUse[];
}
