import type { MetreRange } from '../metres.ts';
import type { Prepared } from './prepared.ts';
import { type BerthFacts, inClassOrder, type ReachedOutlet } from './reached-outlets.ts';

const mostAtPlace = 8;

/**
 * Shore-power outlets that a boat may use where it lies: those that the berth reaches; along a face the free ones
 * nearest to it, or all where none is free. In class order.
 */
export function outletsAt(
  { userOfOutlet }: Prepared,
  { shorePower }: BerthFacts,
  place: MetreRange | null,
): readonly ReachedOutlet[] {
  if (place === null || shorePower.length <= mostAtPlace) return shorePower;
  const free = shorePower.filter(({ outlet }) => !userOfOutlet.has(outlet.id));
  const offM = ({ reach: { alongM } }: ReachedOutlet) =>
    alongM === null ? 0 : Math.max(0, place.fromM - alongM, alongM - place.untilM);
  const nearest = free.length === 0 ? [...shorePower] : free.sort((a, b) => offM(a) - offM(b));
  return nearest.slice(0, mostAtPlace).sort(inClassOrder);
}
