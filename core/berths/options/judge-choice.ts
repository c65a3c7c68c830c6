import type { HookUp } from '../../electrical/hook-up/hook-up.ts';
import type { Berth, Orientation } from '../../inventory/inventory.ts';
import type { MetreRange } from '../metres.ts';
import { outletsAt } from './outlets-at.ts';
import type { PowerWays } from './power-way.ts';
import { chosenWay, powerWays, waysTaking } from './power-ways.ts';
import type { Prepared } from './prepared.ts';
import {
  bestAt,
  type Candidate,
  type Here,
  type RankedBerth,
  rankBerth,
  rankedBerth,
  withoutRoom,
} from './rank-berths.ts';
import { judgeRoom, type Place, type RoomInBerth, roomIn } from './room.ts';

/** How a person wants a boat to lie and to be powered in a berth; null leaves it to the ranking. */
export interface BerthChoice {
  readonly orientation: Orientation | null;
  readonly place: MetreRange | null;
  readonly hookUp: HookUp | null;
  /** The very outlets to take, however they are joined to the boat; left out: any. */
  readonly outletIds?: readonly string[];
}

/** The best way to lie in one berth among those that the choice leaves open, refused or not. */
export function judgeChoice(prepared: Prepared, berth: Berth, choice: BerthChoice): RankedBerth {
  const { orientation, place, hookUp, outletIds } = choice;
  const isOpen = orientation === null && place === null && hookUp === null && outletIds === undefined;
  if (isOpen) return rankBerth(prepared, berth);
  const facts = prepared.factsOf(berth);
  const room: RoomInBerth =
    place === null
      ? roomIn(prepared, berth)
      : { said: judgeRoom(prepared, berth, place), places: [{ metres: place, cutOffM: 0 }] };
  const here: Here = {
    facts,
    fit: prepared.fitOf(facts),
    space: room.said,
    orientations: orientation === null ? berth.orientations : [orientation],
  };
  const chosen = hookUp === null ? null : chosenWay(prepared, facts, hookUp);
  const waysAt = (at: Place): PowerWays => {
    if (outletIds === undefined) return powerWays(prepared, berth, outletsAt(prepared, facts, at.metres));
    const outlets = facts.shorePower.filter(({ outlet }) => outletIds.includes(outlet.id));
    return waysTaking(outlets, powerWays(prepared, berth, outlets));
  };
  let best: Candidate | null = null;
  for (const at of room.places) {
    const ways = chosen ?? waysAt(at);
    best = bestAt(prepared, here, at, ways, best);
  }
  return best === null ? withoutRoom(prepared, here) : rankedBerth(prepared, best);
}
