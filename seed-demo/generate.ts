import type { Boat } from '../core/boats.ts';
import type { InventoryDocument } from '../core/inventory/patterns.ts';
import { type DemoHolding, holdings } from './holders.ts';
import { inventoryDocument } from './marina/inventory-document.ts';
import { boatNames } from './names.ts';
import { createRandom } from './random.ts';
import { type DemoStay, season } from './season.ts';
import { todaysArrivalCount, todaysArrivals } from './todays-arrivals.ts';
import { type DemoTurnedAway, turnedAway } from './turned-away.ts';

export interface Demo {
  readonly inventory: InventoryDocument;
  readonly holdings: readonly DemoHolding[];
  /** Boats of visitors and of those turned away; a holding carries its own. */
  readonly boats: readonly Boat[];
  /** By arrival; those of the load day among them. */
  readonly stays: readonly DemoStay[];
  readonly turnedAway: readonly DemoTurnedAway[];
}

const stayCount = 1_500;
const turnedAwayCount = 120;

/**
 * The invented marina and its season around one day, `YYYY-MM-DD`. Pure: the same day and seed give the same demo. Each
 * part draws from a source of its own, so that a change of one leaves the others as they are.
 */
export function generateDemo({ today, seed }: { readonly today: string; readonly seed: number }): Demo {
  const inventory = inventoryDocument(today, createRandom(seed));
  const place = { today, timeZone: inventory.timeZone };
  const nextName = boatNames(createRandom(seed + 1));
  const held = holdings(createRandom(seed + 2), place, nextName);
  const passing = season(createRandom(seed + 3), place, stayCount - todaysArrivalCount, nextName);
  const arriving = todaysArrivals(today, place.timeZone);
  const refused = turnedAway(createRandom(seed + 4), place, turnedAwayCount, nextName);
  return {
    inventory,
    holdings: held,
    boats: [...passing.boats, ...arriving.boats, ...refused.boats],
    stays: [...passing.stays, ...arriving.stays].sort((a, b) => a.from - b.from || (a.id < b.id ? -1 : 1)),
    turnedAway: refused.calls,
  };
}
