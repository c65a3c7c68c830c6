import type { Boat } from '../../boats.ts';
import type { HookUp, JudgedHookUp } from '../../electrical/hook-up/hook-up.ts';
import { nameFindings } from '../../electrical/hook-up/hook-up-classes.ts';
import { unfedInlets } from '../../electrical/hook-up/inlet-rules.ts';
import type { Finding } from '../../findings.ts';
import type { Berth } from '../../inventory/inventory.ts';
import { configuration } from '../../standards/configurations.ts';
import { toldValue } from '../told-value.ts';
import { withOwners } from './chosen-adapters.ts';
import type { BoatDemand } from './demand-figures.ts';
import { addDoubt, type Doubt, doubtOf, refusalsOf } from './doubt.ts';
import type { HookUpSearch, HookUpsFound, LikeHookUp } from './hook-ups.ts';
import { noFreeOutlet } from './no-free-outlet.ts';
import type { PowerWay, PowerWays, PowerWords } from './power-way.ts';
import type { Prepared } from './prepared.ts';
import type { BerthFacts, ReachedOutlet } from './reached-outlets.ts';
import { noOutlets } from './score.ts';

/** The ways to power the boat from these outlets (in class order), as the hook-up search orders them. */
export function powerWays(prepared: Prepared, berth: Berth, outlets: readonly ReachedOutlet[]): PowerWays {
  const { boat } = prepared.question;
  if (toldValue(boat.wantsPower) === false) return { free: [], first: prepared.withoutPower(), more: nothingMore };
  const { userOfOutlet, isTaken } = prepared;
  const free = outlets.filter(({ ordinal }) => isTaken[ordinal] !== 1);
  if (free.length === 0) {
    const first = unpowered(prepared.demand, refusalsOf(1), () => [noFreeOutlet(userOfOutlet, berth, outlets)]);
    return { free, first: [first], more: nothingMore };
  }
  const found = prepared.hookUps.find(free);
  const { first, more } = prepared.waysOf(found);
  return { free, first, more };
}

const nothingMore = () => [];

/** Ways of a class of outlets, made once for each. */
export function prepareWays(boat: Boat, demand: BoatDemand, demandByRating: BoatDemand) {
  const known = new Map<HookUpsFound, Pick<PowerWays, 'first' | 'more'>>();
  return (found: HookUpsFound): Pick<PowerWays, 'first' | 'more'> => {
    const made = known.get(found);
    if (made !== undefined) return made;
    const from = (like: LikeHookUp) => fromHookUp(boat, demand, like);
    const { ways, none, moreWays } = found;
    const first =
      ways.length > 0 ? ways.map(from) : [withoutHookUp(demandByRating, nameFindings(none, { outlets: [], boat }))];
    let further: readonly PowerWay[] | null = null;
    const more = () => {
      further ??= moreWays().map(from);
      return further;
    };
    known.set(found, { first, more });
    return { first, more };
  };
}

/** Of a boat that wants none: the same at every berth. */
export function withoutPower(demand: BoatDemand, { judge }: HookUpSearch): readonly PowerWay[] {
  const hookUp = judge({ adapters: [], joints: [] }, []);
  const { findings } = hookUp;
  const way = unpowered(demand, doubtOf(findings), () => findings);
  return [{ ...way, words: () => ({ hookUp, demand: null, findings }) }];
}

function unpowered(demand: BoatDemand, doubt: Doubt, findings: () => readonly Finding[]): PowerWay {
  return {
    ...noOutlets,
    least: doubt,
    choices: () => [[]],
    hookUp: () => ({ doubt, feeds: [] }),
    demand,
    words: () => ({ hookUp: null, demand: null, findings: findings() }),
  };
}

function fromHookUp(boat: Boat, demand: BoatDemand, like: LikeHookUp): PowerWay {
  const { inletsUnfed, adapters, adaptersToBring, outletLeftA, least, judged, groups } = like;
  return {
    least,
    inletsUnfed,
    adapters,
    adaptersToBring,
    outletLeftA,
    choices: (free) => choices(groups, free),
    hookUp: judged,
    demand,
    words: (outlets) =>
      wordsOf(judged().named({ outlets: outlets.map(({ supply }) => supply), boat }), demand, outlets, []),
  };
}

function wordsOf(
  hookUp: JudgedHookUp | null,
  { judge }: BoatDemand,
  outlets: readonly ReachedOutlet[],
  others: readonly Finding[],
): PowerWords {
  const demand = outlets.length === 0 ? null : judge(outlets);
  const findings = [...(hookUp?.findings ?? []), ...others, ...(demand?.findings ?? [])];
  return { hookUp, demand, findings };
}

/**
 * Why there is no hook-up. While the boat's inlets are unknown the largest outlet is kept and loads its feeder in full,
 * so that the berth can be held; check-in decides.
 */
function withoutHookUp(demandByRating: BoatDemand, why: readonly Finding[]): PowerWay {
  const doubt = doubtOf(why);
  const way = unpowered(demandByRating, doubt, () => why);
  if (why.some(({ level }) => level === 'refuse')) return way;
  return {
    ...way,
    choices: (free) => {
      const largestA = Math.max(...free.map(({ ratedA }) => ratedA));
      return free.filter(({ ratedA }) => ratedA === largestA).map((outlet) => [outlet]);
    },
    words: (outlets) => wordsOf(null, demandByRating, outlets, why),
  };
}

/** The one way that a person chose: these joints and adapters, from outlets of the berth. */
export function chosenWay(prepared: Prepared, { berth, reached }: BerthFacts, chosen: HookUp): PowerWays {
  const { hookUp, findings: ofStock } = withOwners(prepared.question, chosen);
  const judged = prepared.hookUps.judge(
    hookUp,
    reached.map(({ supply }) => supply),
  );
  const outlets = reached.filter(({ outlet }) => judged.outletIds.includes(outlet.id));
  const taken = outlets.filter(({ outlet }) => prepared.userOfOutlet.has(outlet.id));
  const refusals = taken.length === 0 ? ofStock : [...ofStock, noFreeOutlet(prepared.userOfOutlet, berth, taken)];
  const doubt = addDoubt(doubtOf(judged.findings), doubtOf(refusals));
  const feeds = judged.inlets.map(({ inletId, cordSetIds, legs }) => ({
    inletId,
    cordSetIds,
    places: outlets.flatMap(({ outlet }, place) =>
      legs.some(({ outletId }) => outletId === outlet.id) ? [place] : [],
    ),
  }));
  const inletsA = judged.inlets.reduce((sum, inlet) => sum + (configuration(inlet.configurationId)?.ratedA ?? 0), 0);
  const way: PowerWay = {
    least: doubt,
    inletsUnfed: unfedInlets(hookUp, prepared.question.boat).length,
    adapters: hookUp.adapters.length,
    adaptersToBring: hookUp.adapters.filter(({ from }) => from === 'toBring').length,
    outletLeftA: Math.max(0, outlets.reduce((sum, { ratedA }) => sum + ratedA, 0) - inletsA),
    choices: () => [outlets],
    hookUp: () => ({ doubt, feeds }),
    demand: prepared.demand,
    words: () => wordsOf(judged, prepared.demand, outlets, refusals),
  };
  return { free: outlets, first: [way], more: nothingMore };
}

/** Of some ways, those that take each of these outlets; all of them where none does, so that they can say why. */
export function waysTaking(outlets: readonly ReachedOutlet[], { free, first, more }: PowerWays): PowerWays {
  const taking = (ways: readonly PowerWay[]) =>
    ways
      .map((way) => ({ ...way, choices: (of: readonly ReachedOutlet[]) => way.choices(of).filter(isAll) }))
      .filter(({ choices: chosen }) => chosen(free).length > 0);
  const isAll = (chosen: readonly ReachedOutlet[]) => chosen.length === outlets.length;
  const of = taking(first);
  return of.length > 0
    ? { free, first: of, more: () => taking(more()) }
    : { free, first: [...taking(more()), ...first], more };
}

// Like outlets differ in their place and their load's line alone: with this many tries some good one is among them.
const mostChoices = 24;

/** One outlet from each group of like ones in turn, none twice; `outlets` in class order. */
function choices(groups: readonly number[], outlets: readonly ReachedOutlet[]): readonly (readonly ReachedOutlet[])[] {
  const [only] = groups;
  if (only !== undefined && groups.length === 1) return ofGroup(only, outlets).map((outlet) => [outlet]);
  const members = groups.map((group) => ofGroup(group, outlets));
  const found: ReachedOutlet[][] = [];
  const chosen: ReachedOutlet[] = [];
  const choose = (next: number) => {
    const group = members[next];
    if (group === undefined) found.push([...chosen]);
    for (const outlet of group ?? []) {
      if (found.length === mostChoices) return;
      if (chosen.includes(outlet)) continue;
      chosen.push(outlet);
      choose(next + 1);
      chosen.pop();
    }
  };
  choose(0);
  return found;
}

function ofGroup(wanted: number, outlets: readonly ReachedOutlet[]): ReachedOutlet[] {
  const members: ReachedOutlet[] = [];
  let group = -1;
  let last = -1;
  for (const outlet of outlets) {
    if (outlet.likeClass !== last) group += 1;
    last = outlet.likeClass;
    if (group === wanted) members.push(outlet);
  }
  return members;
}
