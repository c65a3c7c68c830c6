import { gravestFirst, isOverridable, type Verdict } from '../../findings.ts';
import type { Berth, Orientation } from '../../inventory/inventory.ts';
import type { MetreRange } from '../metres.ts';
import { cordsNeeded, doubtOfCords, findingsOfCords, type Lying, measureCords } from './cords.ts';
import { noDemand } from './demand-figures.ts';
import { addDoubt, type Doubt, doubtOf, isRefused, isSameDoubt, verdictOfDoubt } from './doubt.ts';
import { countUnmet, judgeWishes } from './judge-wishes.ts';
import type { BerthOption } from './options.ts';
import { outletsAt } from './outlets-at.ts';
import type { PowerWay, PowerWays } from './power-way.ts';
import { powerWays } from './power-ways.ts';
import type { Prepared } from './prepared.ts';
import type { BerthFacts, ReachedOutlet } from './reached-outlets.ts';
import { type Place, roomIn } from './room.ts';
import type { RoomFit } from './room-fit.ts';
import type { Said } from './said.ts';
import { compareScores, isBehind, namedScore, noOutlets, type Score, scoreOf, withDoubt } from './score.ts';

/** A berth with the best way to lie in it, judged in figures. `describe` puts it into words, which costs more. */
export interface RankedBerth {
  readonly berth: Berth;
  readonly verdict: Verdict;
  readonly refusals: number;
  /** False where nowhere in it is free for the whole stay: its power is not judged then. */
  readonly hasRoom: boolean;
  readonly score: Score;
  /** The same with its volts solved instead of bounded: never graver. Costs more. */
  readonly solved: () => RankedBerth;
  /** In words, with its volts solved. */
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
  const units = here.facts.berth.unitIds.length;
  const unmet = countUnmet(prepared.question.wishes, lying);
  const score = scoreOf(all, noOutlets, units, roomLeftM, noDemand, 0, unmet);
  return rankedBerth(prepared, { here, lying, power: null, doubtBesidesVolts: all, doubt: all, score });
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
  readonly power: Powered | null;
  readonly doubtBesidesVolts: Doubt;
  readonly doubt: Doubt;
  readonly score: Score;
}

interface Powered {
  readonly way: PowerWay;
  readonly outlets: readonly ReachedOutlet[];
}

/**
 * The best of all ways to lie and to be powered at one place, or the one before where none is better. A way is judged
 * further only while the best that it can still come to is better.
 */
export function bestAt(
  prepared: Prepared,
  here: Here,
  place: Place,
  { free, first, more }: PowerWays,
  before: Candidate | null,
): Candidate | null {
  const room = addDoubt(here.fit.doubt, here.space.doubt);
  const spot: Spot = {
    here,
    room,
    metres: place.metres,
    units: here.facts.berth.unitIds.length,
    roomLeftM: here.fit.roomLeftM + place.cutOffM,
  };
  let best = before;
  for (const way of first) best = betterWay(prepared, spot, way, free, best);
  const mayHelp = best !== null && isRefused(best.doubt) && !isRefused(room);
  if (mayHelp) for (const way of more()) best = betterWay(prepared, spot, way, free, best);
  return best;
}

/** One place with what is the same for every way to be powered there. */
interface Spot {
  readonly here: Here;
  readonly room: Doubt;
  readonly metres: MetreRange | null;
  readonly units: number;
  readonly roomLeftM: number;
}

function betterWay(
  prepared: Prepared,
  { here, room, metres, units, roomLeftM }: Spot,
  way: PowerWay,
  free: readonly ReachedOutlet[],
  before: Candidate | null,
): Candidate | null {
  if (before !== null && isBehind(addDoubt(room, way.least), way, units, roomLeftM, before.score)) return before;

  let best = before;
  const { doubt: ofHookUp, feeds } = way.hookUp();
  const judged = addDoubt(room, ofHookUp);
  for (const outlets of way.choices(free)) {
    const demand = outlets.length === 0 ? noDemand : way.demand.figures(outlets);
    const leakageLeftMa = prepared.leakageLeftMa(outlets);
    const besidesVolts = addDoubt(addDoubt(judged, prepared.overdueAt(outlets).doubt), demand.doubt);
    const withoutCords = addDoubt(besidesVolts, demand.doubtOfVolts);
    for (const orientation of here.orientations) {
      const lying: Lying = { facts: here.facts, orientation, place: metres };
      const unmet = countUnmet(prepared.question.wishes, lying);
      const least = scoreOf(withoutCords, way, units, roomLeftM, demand, leakageLeftMa, unmet);
      if (!isBetter(least, best)) continue;
      const ofCords = doubtOfCords(measureCords(prepared, lying, feeds, outlets));
      const doubt = addDoubt(withoutCords, ofCords);
      const isSame = isSameDoubt(doubt, withoutCords);
      const score = isSame ? least : scoreOf(doubt, way, units, roomLeftM, demand, leakageLeftMa, unmet);
      if (!isBetter(score, best)) continue;
      best = { here, lying, power: { way, outlets }, doubtBesidesVolts: addDoubt(besidesVolts, ofCords), doubt, score };
    }
  }
  return best;
}

function isBetter(score: Score, best: Candidate | null): boolean {
  return best === null || compareScores(score, best.score) < 0;
}

export function rankedBerth(prepared: Prepared, candidate: Candidate): RankedBerth {
  const { here, power, doubt, score } = candidate;
  return {
    berth: here.facts.berth,
    verdict: verdictOfDoubt(doubt),
    refusals: doubt.refusals,
    hasRoom: power !== null,
    score,
    solved: () => rankedBerth(prepared, solvedVolts(candidate)),
    describe: () => described(prepared, solvedVolts(candidate)),
  };
}

/** A candidate whose doubt of volts is that of a solve. What is refused stays so, whatever its volts. */
function solvedVolts(candidate: Candidate): Candidate {
  const { power, doubtBesidesVolts, doubt: before, score } = candidate;
  if (power === null || power.outlets.length === 0 || isRefused(doubtBesidesVolts)) return candidate;
  const { findings } = power.way.demand.solveVolts(power.outlets);
  const doubt = addDoubt(doubtBesidesVolts, doubtOf(findings));
  return isSameDoubt(doubt, before) ? candidate : { ...candidate, doubt, score: withDoubt(score, doubt) };
}

function described(prepared: Prepared, { here, lying, power, doubt, score }: Candidate): BerthOption {
  const { facts, fit, space } = here;
  const words = power === null ? null : power.way.words(power.outlets);
  const cords = power === null ? [] : measureCords(prepared, lying, power.way.hookUp().feeds, power.outlets);
  const findings = [
    ...fit.findings(),
    ...space.findings(),
    ...(words?.findings ?? []),
    ...prepared.overdueAt(power?.outlets ?? []).findings(),
    ...findingsOfCords(cords),
    ...judgeWishes(prepared.question.wishes, lying),
  ];
  // Volts are solved for what can be offered, if need be by an override: elsewhere they would change nothing.
  const canBeOffered = findings.every((finding) => finding.level !== 'refuse' || isOverridable(finding));
  const hasOutlets = power !== null && power.outlets.length > 0;
  const volts = hasOutlets && canBeOffered ? power.way.demand.solveVolts(power.outlets) : null;
  return {
    berthId: facts.berth.id,
    label: facts.berth.label,
    dockId: facts.dock.id,
    verdict: verdictOfDoubt(doubt),
    orientation: lying.orientation,
    place: lying.place,
    hookUp: words?.hookUp ?? null,
    outletIds: power?.outlets.map(({ outlet }) => outlet.id) ?? [],
    cords: cordsNeeded(cords),
    tightest: words?.demand?.tightest ?? null,
    volts,
    findings: gravestFirst([...findings, ...(volts?.findings ?? [])]),
    score: namedScore(score),
  };
}
