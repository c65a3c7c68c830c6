import { adaptersAboard, inletsUnknown, nothingMates, withAnyAdapter } from '../../electrical/hook-up/find-hook-ups.ts';
import { gravityOf } from '../../electrical/hook-up/grades.ts';
import type { HookUp, HookUpBoat, JudgedHookUp } from '../../electrical/hook-up/hook-up.ts';
import {
  judgeByClass,
  type Names,
  nameHookUp,
  outletIdsOf,
  placeOf,
  withoutName,
} from '../../electrical/hook-up/hook-up-classes.ts';
import { powerInlets } from '../../electrical/hook-up/inlet-rules.ts';
import { judgedHookUp } from '../../electrical/hook-up/judge.ts';
import { hookUpClassKey } from '../../electrical/hook-up/like-outlets.ts';
import { type GradedHookUp, prepareHookUpSearch, type SearchFacts } from '../../electrical/hook-up/search-hook-ups.ts';
import type { SupplyOutlet } from '../../electrical/hook-up/supply-outlet.ts';
import type { Finding } from '../../findings.ts';
import type { InventoryIndex } from '../../inventory/index-inventory.ts';
import { keepRecent } from '../../keep-recent.ts';
import type { AdapterKind } from '../../standards/adapter-kind.ts';
import { adapterKinds } from '../../standards/adapter-kinds.ts';
import { configuration } from '../../standards/configurations.ts';
import { addDoubt, type Doubt, doubtOf, doubtOfLevel, noDoubt } from './doubt.ts';
import { freeStock } from './free-stock.ts';
import { once } from './once.ts';
import type { OptionsQuestion } from './options.ts';
import type { Feed } from './power-way.ts';
import type { ReachedOutlet } from './reached-outlets.ts';
import type { Taken } from './score.ts';
import { toldBoat } from './told-boat.ts';

export interface HookUpSearch {
  /**
   * Ways to connect the boat to some of these outlets, which come in the order of `inClassOrder`. Findings bear marks in
   * place of names until they are named.
   */
  readonly find: (outlets: readonly ReachedOutlet[]) => HookUpsFound;
  /** Judges one given hook-up, as a person chose it. */
  readonly judge: (hookUp: HookUp, outlets: readonly SupplyOutlet[]) => JudgedHookUp;
}

export interface HookUpsFound {
  /** Best first; refused ones only where nothing else is. */
  readonly ways: readonly LikeHookUp[];
  /** Where demand or reach refuses all of these: ways that leave an inlet out, or need an adapter that is not at hand. */
  readonly moreWays: () => readonly LikeHookUp[];
  /** Why there is none, where there is none. */
  readonly none: readonly Finding[];
}

/** A hook-up for outlets like these: what it says at least is known, the rest when it is judged. */
export interface LikeHookUp extends Taken {
  /** For each of its outlets the group to take one from. */
  readonly groups: readonly number[];
  readonly least: Doubt;
  readonly judged: () => LikeJudged;
}

export interface LikeJudged {
  readonly doubt: Doubt;
  readonly feeds: readonly Feed[];
  /** The judgement with the names of the very outlets taken. */
  readonly named: (names: Names) => JudgedHookUp;
}

const mostWays = 32;
const mostToBring = 48;

/** Hook-ups for one boat, searched once for each class of like outlets and for all boats with the same facts. */
export function prepareHookUps(question: OptionsQuestion): HookUpSearch {
  const { index, stockUses, period, occupiedUntil } = question;
  const boat = toldBoat(question.boat);
  const facts: SearchFacts = {
    boat,
    adapters: [...adaptersAboard(boat), ...freeStock(index, stockUses, { from: period.from, until: occupiedUntil })],
    adapterKinds: adapterKindsOf(index),
    refuseCordBelowBreaker: index.inventory.settings.refuseCordBelowBreaker,
  };
  return { find: sharedSearch(index, facts), judge: judgeWith(facts) };
}

function judgeWith(facts: SearchFacts): HookUpSearch['judge'] {
  return (hookUp, outlets) =>
    judgedHookUp(hookUp, { ...facts, outlets: new Map(outlets.map((outlet) => [outlet.id, outlet])) });
}

const mostSearches = 16;
const searches = new WeakMap<InventoryIndex, ReturnType<typeof keepRecent<HookUpSearch['find']>>>();

/**
 * The search for all boats with these facts at the outlets of this inventory, which keeps what it has found: the same
 * boat is asked about again when it is assigned, moved or looked for elsewhere, and many are alike as the phone tells
 * them.
 */
function sharedSearch(index: InventoryIndex, facts: SearchFacts): HookUpSearch['find'] {
  const ofIndex = searches.get(index) ?? keepRecent<HookUpSearch['find']>(mostSearches);
  searches.set(index, ofIndex);
  const { adapters, refuseCordBelowBreaker } = facts;
  const boat = electricalFacts(facts.boat);
  return ofIndex(JSON.stringify([boat, adapters, refuseCordBelowBreaker]), () => searchByLikes({ ...facts, boat }));
}

/** What no hook-up depends on: where an inlet lies, when a fact was told, and what `HookUpBoat` leaves out. */
const besideTheHookUp: ReadonlySet<string> = new Set([
  'lengthOverallM',
  'beamM',
  'hull',
  'draftM',
  'airConditioning',
  'statedLoadVa',
  'fromBowM',
  'side',
]);

/** The boat's facts as far as a hook-up may depend on them. Whatever is not known to be beside the matter stays. */
function electricalFacts(boat: HookUpBoat): HookUpBoat {
  const text = JSON.stringify(withoutName(boat), (name, value) => {
    if (besideTheHookUp.has(name)) return null;
    return name === 'at' ? 0 : value;
  });
  return JSON.parse(text);
}

function searchByLikes(facts: SearchFacts): HookUpSearch['find'] {
  const search = classSearch(facts, judgeWith(facts));
  const byLikes: ByLikes = { found: null, next: new Map() };
  const byClass = new Map<string, HookUpsFound>();
  return (outlets) => {
    const likes = likesOf(byLikes, outlets);
    if (likes.found === null) {
      const supplies = outlets.map(({ supply }) => supply);
      const key = hookUpClassKey(supplies);
      likes.found = byClass.get(key) ?? search(supplies, groupNumbers(outlets));
      byClass.set(key, likes.found);
    }
    return likes.found;
  };
}

/** What is found by the like classes of outlets, one after the other: quicker to look up than a key to put together. */
interface ByLikes {
  found: HookUpsFound | null;
  readonly next: Map<number, ByLikes>;
}

function likesOf(root: ByLikes, outlets: readonly ReachedOutlet[]): ByLikes {
  let at = root;
  for (const { likeClass } of outlets) {
    let next = at.next.get(likeClass);
    if (next === undefined) {
      next = { found: null, next: new Map() };
      at.next.set(likeClass, next);
    }
    at = next;
  }
  return at;
}

/** Searches for the ways of one class, given one berth of it. */
function classSearch(facts: SearchFacts, judge: HookUpSearch['judge']) {
  const { boat } = facts;
  const atHand = prepareHookUpSearch(facts);
  const withAny = once(() => prepareHookUpSearch({ ...facts, ...withAnyAdapter(facts) }));
  const judgeLike = judgeByClass(judge);

  return (outlets: readonly SupplyOutlet[], groups: readonly number[]): HookUpsFound => {
    if (powerInlets(boat).length === 0) return { ways: [], moreWays: () => [], none: [inletsUnknown(boat)] };
    const placeIn = new Map(outlets.map(({ id }, place) => [id, place]));
    const wayOf = (graded: GradedHookUp) => {
      const places = outletIdsOf(graded.hookUp).map((id) => placeIn.get(id) ?? -1);
      const taken = places.flatMap((place) => outlets[place] ?? []);
      return likeHookUp(
        graded,
        taken,
        places.map((place) => groups[place] ?? -1),
        powerInlets(boat).length,
        leastOf(boat, graded),
        once(() => likeJudged(judgeLike(graded.hookUp, taken))),
      );
    };
    const toBring = once(() => withAny().toBring(outlets, mostToBring).map(wayOf));
    const { best, partial } = atHand.all(outlets, mostWays);
    const isFed = best.some(({ gravity }) => gravity < gravityOf.refused);
    const found = best.map(wayOf);
    const ways = isFed ? found : [...toBring(), ...found];
    return {
      ways,
      moreWays: once(() => (isFed ? [...partial().map(wayOf), ...toBring()] : [])),
      none: ways.length === 0 ? [nothingMates(boat, outlets)] : [],
    };
  };
}

function likeHookUp(
  { hookUp: { adapters, joints } }: GradedHookUp,
  taken: readonly SupplyOutlet[],
  groups: readonly number[],
  inletCount: number,
  least: Doubt,
  judged: () => LikeJudged,
): LikeHookUp {
  const adaptersToBring = adapters.filter(({ from }) => from === 'toBring').length;
  let outletLeftA = 0;
  for (const { configurationId } of taken) outletLeftA += ratedA(configurationId);
  let fed = 0;
  for (const { to } of joints) {
    if (to.kind !== 'inlet') continue;
    outletLeftA -= ratedA(to.configurationId);
    fed += 1;
  }
  return {
    groups,
    least,
    inletsUnfed: inletCount - fed,
    adapters: adapters.length,
    adaptersToBring,
    outletLeftA: Math.max(0, outletLeftA),
    judged,
  };
}

/** The least that a hook-up comes to before it is judged in words. */
function leastOf(boat: SearchFacts['boat'], { hookUp: { adapters }, gravity }: GradedHookUp): Doubt {
  const least = addDoubt(atLeast[gravity] ?? noDoubt, boat.ownSupplies == null ? unasked : noDoubt);
  // The search takes every piece for one at hand.
  if (!adapters.some(({ from }) => from === 'toBring')) return least;
  const missing = doubtOfLevel(boat.adapterKindIds === null ? 'confirm' : 'refuse');
  return { ...addDoubt(least, missing), refusals: Math.max(least.refusals, missing.refusals) };
}

const atLeast = (['note', 'caution', 'confirm', 'refuse'] as const).map(doubtOfLevel);
/** Own supplies are asked of every boat that takes power. */
const unasked = doubtOf([{ rule: 'hookup.ownSupplyUnknown', level: 'confirm' }]);

function likeJudged(judged: JudgedHookUp): LikeJudged {
  return {
    doubt: doubtOf(judged.findings),
    feeds: judged.inlets.map(({ inletId, cordSetIds, legs }) => ({
      inletId,
      cordSetIds,
      places: [...new Set(legs.flatMap(({ outletId }) => (outletId === null ? [] : [placeOf(outletId)])))],
    })),
    named: (names) => nameHookUp(judged, names),
  };
}

function ratedA(configurationId: string): number {
  return configuration(configurationId)?.ratedA ?? 0;
}

/** For each outlet, in class order, the number of its group. */
function groupNumbers(outlets: readonly ReachedOutlet[]): number[] {
  let group = -1;
  return outlets.map(({ likeClass }, i) => {
    if (likeClass !== outlets[i - 1]?.likeClass) group += 1;
    return group;
  });
}

function adapterKindsOf(index: InventoryIndex): ReadonlyMap<string, AdapterKind> {
  return new Map([...adapterKinds, ...index.inventory.adapterKinds].map((kind) => [kind.id, kind]));
}
