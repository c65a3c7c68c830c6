import {
  adaptersAboard,
  inletsUnknown,
  isWorthBringing,
  nothingMates,
  withAnyAdapter,
} from '../../electrical/hook-up/find-hook-ups.ts';
import type { HookUp, JudgedHookUp } from '../../electrical/hook-up/hook-up.ts';
import { judgeByClass, nameOutlets, outletIdsOf, placeOf } from '../../electrical/hook-up/hook-up-classes.ts';
import { powerInlets } from '../../electrical/hook-up/inlet-rules.ts';
import { judgedHookUp } from '../../electrical/hook-up/judge.ts';
import { hookUpClassKey } from '../../electrical/hook-up/like-outlets.ts';
import { prepareHookUpSearch, type SearchFacts } from '../../electrical/hook-up/search-hook-ups.ts';
import type { SupplyOutlet } from '../../electrical/hook-up/supply-outlet.ts';
import type { Finding } from '../../findings.ts';
import type { InventoryIndex } from '../../inventory/index-inventory.ts';
import type { AdapterKind } from '../../standards/adapter-kind.ts';
import { adapterKinds } from '../../standards/adapter-kinds.ts';
import { configuration } from '../../standards/configurations.ts';
import { type Doubt, doubtOf, isRefused } from './doubt.ts';
import { freeStock } from './free-stock.ts';
import { once } from './once.ts';
import type { OptionsQuestion } from './options.ts';
import type { ReachedOutlet } from './reached-outlets.ts';
import { toldBoat } from './told-boat.ts';

export interface HookUpSearch {
  /** Ways to connect the boat to some of these outlets. */
  readonly find: (outlets: readonly ReachedOutlet[]) => HookUpsFound;
  /** Judges one given hook-up, as a person chose it. */
  readonly judge: (hookUp: HookUp, outlets: readonly SupplyOutlet[]) => JudgedHookUp;
}

export interface HookUpsFound {
  /** The outlets given, in groups of like ones. */
  readonly groups: readonly (readonly ReachedOutlet[])[];
  /** Best first; refused ones only where nothing else is. */
  readonly ways: readonly LikeHookUp[];
  /** Where demand or reach refuses all of these: ways that leave an inlet out, or need an adapter that is not at hand. */
  readonly moreWays: () => readonly LikeHookUp[];
  /** Why there is none, where there is none. */
  readonly none: readonly Finding[];
}

/** A hook-up judged for outlets like these, in figures. */
export interface LikeHookUp {
  /** For each of its outlets the group to take one from. */
  readonly groups: readonly number[];
  /** The inlets that it feeds, each from some of its outlets. */
  readonly feeds: readonly { readonly inletId: string; readonly places: readonly number[] }[];
  readonly doubt: Doubt;
  readonly adapters: number;
  readonly adaptersToBring: number;
  /** Whether nothing but a missing adapter refuses it. */
  readonly isOnlyToBring: boolean;
  /** Rating of the outlets beyond that of the inlets fed, A. */
  readonly outletLeftA: number;
  /** The judgement with the names of the very outlets taken. */
  readonly named: (outlets: readonly ReachedOutlet[]) => JudgedHookUp;
}

interface FoundForClass {
  readonly ways: readonly LikeHookUp[];
  readonly moreWays: () => readonly LikeHookUp[];
  readonly none: readonly Finding[];
}

const mostWays = 32;

/** Hook-ups for one boat, searched once for each class of like outlets. */
export function prepareHookUps(question: OptionsQuestion): HookUpSearch {
  const { index, stockUses, period, occupiedUntil } = question;
  const boat = toldBoat(question.boat);
  const facts: SearchFacts = {
    boat,
    adapters: [...adaptersAboard(boat), ...freeStock(index, stockUses, { from: period.from, until: occupiedUntil })],
    adapterKinds: adapterKindsOf(index),
    refuseCordBelowBreaker: index.inventory.settings.refuseCordBelowBreaker,
  };
  const judge: HookUpSearch['judge'] = (hookUp, outlets) =>
    judgedHookUp(hookUp, { ...facts, outlets: new Map(outlets.map((outlet) => [outlet.id, outlet])) });
  const search = classSearch(facts, judge);

  const byLikes = new Map<string, FoundForClass>();
  const byClass = new Map<string, FoundForClass>();
  return {
    find: (outlets) => {
      // In an order of facts, so that berths with the same outlets in another order are one class.
      const sorted = [...outlets].sort((a, b) => a.ownClass - b.ownClass || a.likeClass - b.likeClass);
      let likes = '';
      for (const { likeClass } of sorted) likes += `${likeClass} `;
      let found = byLikes.get(likes);
      if (found === undefined) {
        const supplies = sorted.map(({ supply }) => supply);
        const key = hookUpClassKey(supplies);
        found = byClass.get(key) ?? search(supplies, groupNumbers(sorted));
        byClass.set(key, found);
        byLikes.set(likes, found);
      }
      return { ...found, groups: grouped(sorted) };
    },
    judge,
  };
}

/** Searches for the ways of one class, given one berth of it. */
function classSearch(facts: SearchFacts, judge: HookUpSearch['judge']) {
  const { boat } = facts;
  const atHand = prepareHookUpSearch(facts);
  const withAny = once(() => prepareHookUpSearch({ ...facts, ...withAnyAdapter(facts) }));
  const judgeLike = judgeByClass(judge);

  return (outlets: readonly SupplyOutlet[], groups: readonly number[]): FoundForClass => {
    if (powerInlets(boat).length === 0) return { ways: [], moreWays: () => [], none: [inletsUnknown(boat)] };
    const placeIn = new Map(outlets.map(({ id }, place) => [id, place]));
    const wayOf = (hookUp: HookUp): LikeHookUp => {
      const places = outletIdsOf(hookUp).map((id) => placeIn.get(id) ?? -1);
      const taken = places.flatMap((place) => outlets[place] ?? []);
      return likeHookUp(
        judgeLike(hookUp, taken),
        taken,
        places.map((place) => groups[place] ?? -1),
      );
    };
    const toBring = once(() => {
      const best = withAny().find(outlets, 1).hookUps.map(wayOf);
      return best.filter(({ isOnlyToBring }) => isOnlyToBring);
    });
    const found = atHand.find(outlets, mostWays).hookUps.map(wayOf);
    const isFed = found.some(({ doubt }) => !isRefused(doubt));
    const ways = isFed ? found : [...toBring(), ...found];
    return {
      ways,
      moreWays: once(() => (isFed ? [...atHand.findPartial(outlets, mostWays).hookUps.map(wayOf), ...toBring()] : [])),
      none: ways.length === 0 ? [nothingMates(boat, outlets)] : [],
    };
  };
}

function likeHookUp(judged: JudgedHookUp, taken: readonly SupplyOutlet[], groups: readonly number[]): LikeHookUp {
  const { adapters } = judged.hookUp;
  const outletsA = taken.reduce((sum, { configurationId }) => sum + ratedA(configurationId), 0);
  const inletsA = judged.inlets.reduce((sum, { configurationId }) => sum + ratedA(configurationId), 0);
  return {
    groups,
    feeds: judged.inlets.map(({ inletId, legs }) => ({
      inletId,
      places: [...new Set(legs.flatMap(({ outletId }) => (outletId === null ? [] : [placeOf(outletId)])))],
    })),
    doubt: doubtOf(judged.findings),
    adapters: adapters.length,
    adaptersToBring: adapters.filter(({ from }) => from === 'toBring').length,
    isOnlyToBring: isWorthBringing(judged),
    outletLeftA: Math.max(0, outletsA - inletsA),
    named: (outlets: readonly ReachedOutlet[]) =>
      nameOutlets(
        judged,
        outlets.map(({ supply }) => supply),
      ),
  };
}

function ratedA(configurationId: string): number {
  return configuration(configurationId)?.ratedA ?? 0;
}

/** For each outlet, in order, the number of its group. */
function groupNumbers(sorted: readonly ReachedOutlet[]): number[] {
  let group = -1;
  return sorted.map(({ likeClass }, i) => {
    if (likeClass !== sorted[i - 1]?.likeClass) group += 1;
    return group;
  });
}

function grouped(sorted: readonly ReachedOutlet[]): ReachedOutlet[][] {
  const groups: ReachedOutlet[][] = [];
  let last: ReachedOutlet[] = [];
  for (const outlet of sorted) {
    if (last[0]?.likeClass === outlet.likeClass) last.push(outlet);
    else {
      last = [outlet];
      groups.push(last);
    }
  }
  return groups;
}

function adapterKindsOf(index: InventoryIndex): ReadonlyMap<string, AdapterKind> {
  return new Map([...adapterKinds, ...index.inventory.adapterKinds].map((kind) => [kind.id, kind]));
}
