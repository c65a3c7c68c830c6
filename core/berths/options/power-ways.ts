import type { AdmissionJudgement } from '../../electrical/demand/admission.ts';
import type { HookUp, JudgedHookUp } from '../../electrical/hook-up/hook-up.ts';
import type { Finding } from '../../findings.ts';
import type { Berth } from '../../inventory/inventory.ts';
import { configuration } from '../../standards/configurations.ts';
import { toldValue } from '../told-value.ts';
import { withOwners } from './chosen-adapters.ts';
import type { Feed } from './cords.ts';
import { addDoubt, type Doubt, doubtOf, noDoubt, refusalsOf } from './doubt.ts';
import type { LikeHookUp } from './hook-ups.ts';
import { noFreeOutlet } from './no-free-outlet.ts';
import { once } from './once.ts';
import type { Prepared } from './prepare.ts';
import type { BerthFacts, ReachedOutlet } from './reached-outlets.ts';

/** One way to power the boat from given outlets, wherever in the berth it lies: cords are measured afterwards. */
export interface PowerWay {
  readonly outlets: readonly ReachedOutlet[];
  readonly feeds: readonly Feed[];
  /** Of hook-up and demand. */
  readonly doubt: Doubt;
  readonly marginShare: number | null;
  readonly unbalanceA: number;
  /** The hook-up with its words, null where there is none; worded when asked for, as all that follows. */
  readonly hookUp: () => JudgedHookUp | null;
  readonly demand: () => AdmissionJudgement | null;
  readonly findings: () => readonly Finding[];
}

/** A way of which only the hook-up is judged so far, and which of like outlets it takes is open. */
export interface PossibleWay {
  /** Of the hook-up alone: the least that the way can have. */
  readonly doubt: Doubt;
  readonly adapters: number;
  readonly adaptersToBring: number;
  /** Rating of the outlets beyond that of the inlets fed, A. */
  readonly outletLeftA: number;
  /** The way with each choice among like outlets. */
  readonly ways: () => Iterable<PowerWay>;
}

export interface PossibleWays {
  /** Never empty: where nothing is found, the one way says why. */
  readonly first: readonly PossibleWay[];
  /** To be asked where all of these are refused. */
  readonly more: () => readonly PossibleWay[];
}

/**
 * The ways to power the boat from these outlets, as the hook-up search orders them. While the boat's inlets are unknown
 * the largest free outlet is kept and loads its feeder in full, so that the berth can be held; check-in decides.
 */
export function powerWays(prepared: Prepared, berth: Berth, outlets: readonly ReachedOutlet[]): PossibleWays {
  const { boat } = prepared.question;
  if (toldValue(boat.wantsPower) === false) {
    const hookUp = prepared.hookUps.judge({ adapters: [], joints: [] }, []);
    return onlyWay({ ...withoutOutlets(hookUp.findings), hookUp: () => hookUp });
  }
  const free = outlets.filter(({ outlet }) => !prepared.userOfOutlet.has(outlet.id));
  if (free.length === 0) return noOutletAt(prepared, berth, outlets);

  const { groups, ways, moreWays, none } = prepared.hookUps.find(free);
  if (ways.length === 0) {
    const isRefused = none.some(({ level }) => level === 'refuse');
    return isRefused ? onlyWay(withoutOutlets(none)) : cautiously(prepared, free, none);
  }
  const from = (like: LikeHookUp) => possibleWay(prepared, like, groups);
  return { first: ways.map(from), more: () => moreWays().map(from) };
}

function noOutletAt(prepared: Prepared, berth: Berth, outlets: readonly ReachedOutlet[]): PossibleWays {
  const findings = () => [noFreeOutlet(prepared.userOfOutlet, berth, outlets)];
  return onlyWay({ ...withoutOutlets([]), doubt: refusalsOf(1), findings });
}

function onlyWay(way: PowerWay): PossibleWays {
  return { first: [{ ...plain, doubt: way.doubt, ways: () => [way] }], more: () => [] };
}

const plain = { adapters: 0, adaptersToBring: 0, outletLeftA: 0 } as const;

function possibleWay(prepared: Prepared, like: LikeHookUp, groups: readonly (readonly ReachedOutlet[])[]): PossibleWay {
  const { doubt, adapters, adaptersToBring, outletLeftA } = like;
  return {
    doubt,
    adapters,
    adaptersToBring,
    outletLeftA,
    ways: function* () {
      for (const outlets of choices(like.groups, groups)) {
        const feeds = like.feeds.map(({ inletId, places }) => ({
          inletId,
          outlets: places.flatMap((place) => outlets[place] ?? []),
        }));
        yield wayFrom(prepared, outlets, feeds, doubt, () => like.named(outlets));
      }
    },
  };
}

// Like outlets differ in their place and their load's line alone: with this many tries some good one is among them.
const mostChoices = 24;

/** One outlet from each group in turn, none twice: the first ones first. */
function choices(
  wanted: readonly number[],
  groups: readonly (readonly ReachedOutlet[])[],
): readonly (readonly ReachedOutlet[])[] {
  if (wanted.length === 1) return (groups[wanted[0] ?? -1] ?? []).map((outlet) => [outlet]);
  const found: ReachedOutlet[][] = [];
  const choose = (chosen: readonly ReachedOutlet[]) => {
    if (chosen.length === wanted.length) {
      found.push([...chosen]);
      return;
    }
    for (const outlet of groups[wanted[chosen.length] ?? -1] ?? []) {
      if (found.length < mostChoices && !chosen.includes(outlet)) choose([...chosen, outlet]);
    }
  };
  choose([]);
  return found;
}

/** The one way that a person chose: these joints and adapters, from outlets of the berth. */
export function chosenWay(prepared: Prepared, { berth, reached }: BerthFacts, chosen: HookUp): PossibleWay {
  const { hookUp, findings: ofStock } = withOwners(prepared.question, chosen);
  const judged = prepared.hookUps.judge(
    hookUp,
    reached.map(({ supply }) => supply),
  );
  const withIds = (ids: readonly (string | null)[]) => reached.filter(({ outlet }) => ids.includes(outlet.id));
  const outlets = withIds(judged.outletIds);
  const feeds = judged.inlets.map(({ inletId, legs }) => ({
    inletId,
    outlets: withIds(legs.map(({ outletId }) => outletId)),
  }));
  const taken = outlets.filter(({ outlet }) => prepared.userOfOutlet.has(outlet.id));
  const refusals = taken.length === 0 ? ofStock : [...ofStock, noFreeOutlet(prepared.userOfOutlet, berth, taken)];
  const doubt = addDoubt(doubtOf(judged.findings), doubtOf(refusals));
  const way = wayFrom(prepared, outlets, feeds, doubt, () => judged);
  const inletsA = judged.inlets.reduce((sum, inlet) => sum + (configuration(inlet.configurationId)?.ratedA ?? 0), 0);
  return {
    doubt,
    adapters: hookUp.adapters.length,
    adaptersToBring: hookUp.adapters.filter(({ from }) => from === 'toBring').length,
    outletLeftA: Math.max(0, outlets.reduce((sum, { ratedA }) => sum + ratedA, 0) - inletsA),
    ways: () => [{ ...way, findings: () => [...way.findings(), ...refusals] }],
  };
}

function wayFrom(
  prepared: Prepared,
  outlets: readonly ReachedOutlet[],
  feeds: readonly Feed[],
  ofHookUp: Doubt,
  named: () => JudgedHookUp,
): PowerWay {
  const { doubt, marginShare, unbalanceA } = prepared.demand.figures(outlets);
  const hookUp = once(named);
  const demand = once(() => prepared.demand.judge(outlets));
  return {
    outlets,
    feeds,
    doubt: addDoubt(ofHookUp, doubt),
    marginShare,
    unbalanceA,
    hookUp,
    demand,
    findings: () => [...hookUp().findings, ...demand().findings],
  };
}

/** The largest outlet kept, while nobody knows which one it will be or what it will draw: its rating counts. */
function cautiously(prepared: Prepared, free: readonly ReachedOutlet[], unknown: readonly Finding[]): PossibleWays {
  const largestA = Math.max(...free.map(({ ratedA }) => ratedA));
  const ofUnknown = doubtOf(unknown);
  const ways = () =>
    free
      .filter(({ ratedA }) => ratedA === largestA)
      .map((largest): PowerWay => {
        const { doubt, marginShare, unbalanceA } = prepared.demandByRating.figures([largest]);
        const demand = once(() => prepared.demandByRating.judge([largest]));
        return {
          ...withoutOutlets(unknown),
          outlets: [largest],
          doubt: addDoubt(ofUnknown, doubt),
          marginShare,
          unbalanceA,
          demand,
          findings: () => [...unknown, ...demand().findings],
        };
      });
  return { first: [{ ...plain, doubt: ofUnknown, ways }], more: () => [] };
}

function withoutOutlets(findings: readonly Finding[]): PowerWay {
  return {
    outlets: [],
    feeds: [],
    doubt: findings.length === 0 ? noDoubt : doubtOf(findings),
    marginShare: null,
    unbalanceA: 0,
    hookUp: () => null,
    demand: () => null,
    findings: () => findings,
  };
}
