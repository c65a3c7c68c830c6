import type { Berth, Orientation } from '../inventory/inventory.ts';

export type BoatSide = 'port' | 'starboard';

/**
 * The boat's side towards what lies to one side of a berth, for one who looks from the water at the inner end: to the
 * right is starboard of a boat that lies bow in, and port of one that lies stern in.
 */
export function boatSideOf(on: 'left' | 'right', orientation: Orientation): BoatSide {
  return (on === 'right') === (orientation === 'bowIn') ? 'starboard' : 'port';
}

/** The side with which a boat lies to the finger pier; null where no one pier is on record. */
export function sideTo(berth: Berth | undefined, orientation: Orientation): BoatSide | null {
  const on = berth?.fingerOn ?? null;
  return on === null ? null : boatSideOf(on, orientation);
}
