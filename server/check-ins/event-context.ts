import type { CheckInOutcome } from '../../core/check-in/check-in.ts';
import type { InventoryIndex } from '../../core/inventory/index-inventory.ts';
import type { Tx } from '../db/client.ts';
import type { Services } from '../services.ts';
import type { DeskAlert, StoredFinding } from './raise-alerts.ts';
import type { Contradiction } from './schema.ts';

/** What entering one event works with, all of it inside one marina transaction. */
export interface EventContext {
  readonly services: Services;
  readonly tx: Tx;
  readonly marinaId: string;
  readonly eventId: string;
  readonly index: InventoryIndex;
  readonly now: number;
  /** From when on it takes effect: the phone's time, but neither ahead of the service's clock nor a month back. */
  readonly at: number;
}

/** What an event came to. */
export interface Entered {
  readonly stayId: string | null;
  readonly boatId: string | null;
  readonly outletIds: readonly string[];
  readonly outcome: CheckInOutcome | null;
  readonly findings: readonly StoredFinding[];
  readonly contradictions: readonly Contradiction[];
  readonly alerts: readonly DeskAlert[];
  /** What it changed, as it was: for the change row. */
  readonly before: unknown;
}

export const nothingEntered: Entered = {
  stayId: null,
  boatId: null,
  outletIds: [],
  outcome: null,
  findings: [],
  contradictions: [],
  alerts: [],
  before: null,
};
