import { gravestFirst, type Verdict } from '../../findings.ts';
import type { Berth, Orientation } from '../../inventory/inventory.ts';
import { cordsNeeded, doubtOfCords, findingsOfCords, type Lying, measureCords } from './cords.ts';
import { addDoubt, type Doubt, isRefused, noDoubt, verdictOfDoubt } from './doubt.ts';
import { countUnmet, judgeWishes } from './judge-wishes.ts';
import type { BerthOption } from './options.ts';
import { outletsAt } from './outlets-at.ts';
import { type PossibleWay, type PossibleWays, type PowerWay, powerWays } from './power-ways.ts';
import type { Prepared } from './prepare.ts';
import type { BerthFacts } from './reached-outlets.ts';
import { type Place, roomIn, wholeBerth } from './room.ts';
import type { RoomFit } from './room-fit.ts';
import type { Said } from './said.ts';
import { compareScores, namedScore, type Score, scoreOf } from './score.ts';

/** A berth with the best way to lie in it, judged in figures. `describe` puts it into words, which costs more. */
export interface RankedBerth {
  readonly berth: Berth;
  readonly verdict: Verdict;
  readonly refusals: number;
  /** False where nowhere in it is free for the whole stay: its power is not judged then. */
  readonly hasRoom: boolean;
  readonly score: Score;
  readonly describe: () => BerthOption;
}

/** Every berth of the marina, best first; refused ones after all others. Equals keep the inventory's order. */
export function rankBerths(prepared: Prepared): RankedBerth[] {
  const { berths } = prepared.question.index.inventory;
  return berths.map((berth) => rankBerth(prepared, berth)).sort((a, b) => compareScores(a.score, b.score));
}

/** The best way to lie in one berth. */
export function rankBerth(prepared: Prepared, berth: Berth): RankedBerth {
  const facts = prepared.factsOf(berth);
  const { said: space, places } = roomIn(prepared, berth);
  const here: Here = { facts, fit: prepared.fitOf(facts), space, orientations: berth.orientations };
  let best: Candidate | null = null;
  for (const place of places) {
    best = bestAt(prepared, here, place, powerWays(prepared, berth, outletsAt(prepared, facts, place.metres)), best);
  }
  return best === null ? withoutRoom(prepared, here) : rankedBerth(prepared, best);
}

/** A berth in which the boat cannot lie: nothing about its power would change that, so it is not judged. */
export function withoutRoom(prepared: Prepared, here: Here): RankedBerth {
  const { doubt, roomLeftM } = here.fit;
  const lying: Lying = { facts: here.facts, orientation: here.orientations[0] ?? 'bowIn', place: null };
  const all = addDoubt(doubt, here.space.doubt);
  const score = scoreOf({
    gravity: all.gravity,
    refusals: all.refusals,
    units: here.facts.berth.unitIds.length,
    adaptersToBring: 0,
    adapters: 0,
    roomLeftM: roomLeftM + wholeBerth.cutOffM,
    outletLeftA: 0,
    marginShare: null,
    unbalanceA: 0,
    unmetWishes: countUnmet(prepared.question.wishes, lying),
  });
  return rankedBerth(prepared, { here, lying, way: null, doubt: all, score });
}

/** One berth with what is said of its room, and how a boat may lie in it. */
export interface Here {
  readonly facts: BerthFacts;
  readonly fit: RoomFit;
  readonly space: Said;
  readonly orientations: readonly Orientation[];
}

export interface Candidate {
  readonly here: Here;
  readonly lying: Lying;
  readonly way: PowerWay | null;
  readonly doubt: Doubt;
  readonly score: Score;
}

/**
 * The best of all ways to lie and to be powered at one place, or the one before where none is better. A way is judged
 * further only while the best that it can still come to is better.
 */
export function bestAt(
  prepared: Prepared,
  here: Here,
  place: Place,
  { first, more }: PossibleWays,
  before: Candidate | null,
): Candidate | null {
  const room = addDoubt(here.fit.doubt, here.space.doubt);
  let best = before;
  for (const way of first) best = betterWay(prepared, here, room, place, way, best);
  const mayHelp = best !== null && isRefused(best.doubt) && !isRefused(room);
  if (mayHelp) for (const way of more()) best = betterWay(prepared, here, room, place, way, best);
  return best;
}

function betterWay(
  prepared: Prepared,
  here: Here,
  room: Doubt,
  place: Place,
  possible: PossibleWay,
  before: Candidate | null,
): Candidate | null {
  let best = before;
  const { wishes } = prepared.question;
  const score = (doubt: Doubt, marginShare: number | null, unbalanceA: number, unmet: number): Score =>
    scoreOf({
      gravity: doubt.gravity,
      refusals: doubt.refusals,
      units: here.facts.berth.unitIds.length,
      adaptersToBring: possible.adaptersToBring,
      adapters: possible.adapters,
      roomLeftM: here.fit.roomLeftM + place.cutOffM,
      outletLeftA: possible.outletLeftA,
      marginShare,
      unbalanceA,
      unmetWishes: unmet,
    });
  const isBetter = (one: Score) => best === null || compareScores(one, best.score) < 0;

  if (!isBetter(score(addDoubt(room, possible.doubt), 1, 0, 0))) return best;
  for (const way of possible.ways()) {
    const { marginShare, unbalanceA } = way;
    const withoutCords = addDoubt(room, way.doubt);
    for (const orientation of here.orientations) {
      const lying: Lying = { facts: here.facts, orientation, place: place.metres };
      const unmet = countUnmet(wishes, lying);
      if (!isBetter(score(withoutCords, marginShare, unbalanceA, unmet))) continue;
      const cords = way.feeds.length === 0 ? noDoubt : doubtOfCords(measureCords(prepared, lying, way.feeds));
      const doubt = addDoubt(withoutCords, cords);
      const whole = score(doubt, marginShare, unbalanceA, unmet);
      if (isBetter(whole)) best = { here, lying, way, doubt, score: whole };
    }
  }
  return best;
}

export function rankedBerth(prepared: Prepared, candidate: Candidate): RankedBerth {
  const { here, way, doubt, score } = candidate;
  return {
    berth: here.facts.berth,
    verdict: verdictOfDoubt(doubt),
    refusals: doubt.refusals,
    hasRoom: way !== null,
    score,
    describe: () => described(prepared, candidate),
  };
}

function described(prepared: Prepared, { here, lying, way, doubt, score }: Candidate): BerthOption {
  const { facts, fit, space } = here;
  const cords = way === null ? [] : measureCords(prepared, lying, way.feeds);
  return {
    berthId: facts.berth.id,
    label: facts.berth.label,
    dockId: facts.dock.id,
    verdict: verdictOfDoubt(doubt),
    orientation: lying.orientation,
    place: lying.place,
    hookUp: way?.hookUp() ?? null,
    outletIds: way?.outlets.map(({ outlet }) => outlet.id) ?? [],
    cords: cordsNeeded(cords),
    tightest: way?.demand()?.tightest ?? null,
    findings: gravestFirst([
      ...fit.findings(),
      ...space.findings(),
      ...(way?.findings() ?? []),
      ...findingsOfCords(cords),
      ...judgeWishes(prepared.question.wishes, lying),
    ]),
    score: namedScore(score),
  };
}
