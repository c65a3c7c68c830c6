import type { HookUp } from '../../electrical/hook-up/hook-up.ts';
import type { Berth, Orientation } from '../../inventory/inventory.ts';
import type { MetreRange } from '../metres.ts';
import type { Lying } from './cords.ts';
import { chosenWay, powerWays } from './power-ways.ts';
import type { Prepared } from './prepare.ts';
import { dockOf, outletsAt, type RankedBerth, rankBerth, rankChoice } from './rank-berths.ts';
import { roomIn } from './room.ts';
import { compareScores } from './score.ts';

/** How a person wants a boat to lie and to be powered in a berth; null leaves it to the ranking. */
export interface BerthChoice {
  readonly orientation: Orientation | null;
  readonly place: MetreRange | null;
  readonly hookUp: HookUp | null;
}

/** The best way to lie in one berth among those that the choice leaves open, refused or not. */
export function judgeChoice(prepared: Prepared, berth: Berth, choice: BerthChoice): RankedBerth {
  const { orientation, place, hookUp } = choice;
  if (orientation === null && place === null && hookUp === null) return rankBerth(prepared, berth);
  const dock = dockOf(prepared, berth);
  const places = place === null ? roomIn(prepared, berth).places.map(({ metres }) => metres) : [place];
  let best: RankedBerth | null = null;
  for (const metres of places) {
    const ways =
      hookUp === null
        ? powerWays(prepared, berth, outletsAt(prepared, berth, metres)).map(({ way }) => way())
        : [chosenWay(prepared, berth, hookUp)];
    for (const turned of orientation === null ? berth.orientations : [orientation]) {
      const lying: Lying = { berth, dock, orientation: turned, place: metres };
      for (const way of ways) {
        const candidate = rankChoice(prepared, lying, way);
        if (best === null || compareScores(candidate.score, best.score) < 0) best = candidate;
      }
    }
  }
  return best ?? rankBerth(prepared, berth);
}
