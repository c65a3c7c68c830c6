import type { Berth, Orientation } from '../../inventory/inventory.ts';
import type { Period } from '../../periods.ts';
import type { MetreRange } from '../metres.ts';
import type { PlanCosts } from './columns.ts';
import type { AdapterOfPlan, PlanStay } from './question.ts';

/** A stay in a berth with outlets, all of them by name. */
export interface Placed {
  readonly stay: PlanStay;
  /** The place that the stay has today. */
  readonly isKept: boolean;
  readonly berth: Berth;
  readonly orientation: Orientation;
  readonly place: MetreRange | null;
  readonly outletIds: readonly string[];
  readonly adapters: readonly AdapterOfPlan[];
  readonly statedVa: readonly (number | null)[];
  readonly costs: PlanCosts;
  /** When it lies there, and the turnover after it. */
  readonly period: Period;
}
