import type { AdapterKind } from '../../standards/adapter-kind.ts';
import { assemble } from './assemble.ts';
import { type Candidate, type Combination, combine, compareScores, type Score, undominated } from './combine.ts';
import { type AdapterPool, enumerateComponents, mostAdaptersInRow, mostInlets } from './components.ts';
import { gravityOf, prepareGrades } from './grades.ts';
import type { HookUp, HookUpContext, PlacedAdapter } from './hook-up.ts';
import { powerInlets } from './inlet-rules.ts';
import { groupLike, type LikeOutlets } from './like-outlets.ts';
import type { SupplyOutlet } from './supply-outlet.ts';

/** One entry of what may be used: aboard, or in the dock's stock and not lent. */
export interface AvailableAdapter {
  readonly kindId: string;
  readonly from: PlacedAdapter['from'];
  readonly stockId: string | null;
  readonly quantity: number;
}

/** What a search depends on besides the outlets. */
export interface SearchFacts extends Omit<HookUpContext, 'outlets'> {
  readonly adapters: readonly AvailableAdapter[];
}

export interface FoundWays {
  /** Best first; of like outlets the first ones are named, and no way twice that differs in them alone. */
  readonly hookUps: readonly HookUp[];
  /** True where the search was cut short at its bound; the best found stand. */
  readonly truncated: boolean;
}

export interface HookUpSearch {
  /**
   * Hook-ups that feed every power inlet; where there is none, those that leave some out, and only after that refused
   * ones.
   */
  readonly find: (outlets: readonly SupplyOutlet[], most: number) => FoundWays;
  /** Hook-ups that are not refused, those that leave an inlet without power among them. */
  readonly findPartial: (outlets: readonly SupplyOutlet[], most: number) => FoundWays;
}

// Far above any berth; they bound what a caller of the calculator can make the search do.
const mostComponents = 3_000;
const mostOutlets = 31;

/** Prepares to search for one boat at any number of berths: what is like at two of them is judged once. */
export function prepareHookUpSearch(facts: SearchFacts): HookUpSearch {
  const { boat, adapters } = facts;
  const grades = prepareGrades(facts);
  const pools = poolsOf(adapters, facts.adapterKinds);
  const inletCount = Math.min(powerInlets(boat).length, mostInlets);

  const quantitiesOf = (groups: readonly LikeOutlets[]) => [
    ...groups.map(({ length }) => length),
    ...pools.map(({ quantity }) => quantity),
  ];
  const candidatesOf = (groups: readonly LikeOutlets[], inRow: number) => {
    const outlets = new Map(groups.flatMap((group) => group.map((outlet) => [outlet.id, outlet] as const)));
    const { components, truncated } = enumerateComponents(boat, groups, pools, inRow, mostComponents);
    const candidates = undominated(
      components,
      pools.length,
      (component) => grades.endsOf(component, outlets),
      (component) => grades.wiringOf(component, () => assemble([component], groups, pools, []), outlets),
    );
    return { candidates, truncated };
  };
  /**
   * Hook-ups that feed every inlet and are not refused, with more and more adapters in a row until more of them can only
   * be worse than what is found.
   */
  const stages = (groups: readonly LikeOutlets[], most: number) => {
    const least = grades.leastFrom(groups);
    for (let inRow = 0; ; inRow++) {
      const { candidates, truncated } = candidatesOf(groups, inRow);
      const best = combine(usableOf(candidates), inletCount, quantitiesOf(groups), most, false);
      const last = best[most - 1];
      const more: Score = { ...least, unfed: 0, adapters: inRow + 1, outlets: 1 };
      const isEnough = last !== undefined && compareScores(last.score, more) <= 0;
      if (isEnough || inRow === mostAdaptersInRow || pools.length === 0) return { candidates, truncated, best };
    }
  };
  const answer = (best: readonly Combination[], groups: readonly LikeOutlets[], truncated: boolean): FoundWays => ({
    hookUps: best.map(({ components }) => assemble(components, groups, pools, adapters)),
    truncated,
  });

  return {
    find: (given, most) => {
      const groups = groupLike(given.slice(0, mostOutlets));
      const { candidates, truncated, best: full } = stages(groups, most);
      const quantities = quantitiesOf(groups);
      let best = full;
      if (best.length === 0) best = combine(usableOf(candidates), inletCount, quantities, most, true);
      if (best.length === 0) best = combine(candidates, inletCount, quantities, most, false);
      if (best.length === 0) best = combine(candidates, inletCount, quantities, most, true);
      return answer(best, groups, truncated || given.length > mostOutlets);
    },
    findPartial: (given, most) => {
      const groups = groupLike(given.slice(0, mostOutlets));
      const { candidates, truncated } = candidatesOf(groups, mostAdaptersInRow);
      const best = combine(usableOf(candidates), inletCount, quantitiesOf(groups), most, true);
      return answer(best, groups, truncated || given.length > mostOutlets);
    },
  };
}

function usableOf(candidates: readonly Candidate[]): readonly Candidate[] {
  return candidates.filter(({ score }) => score.gravity < gravityOf.refused);
}

function poolsOf(
  adapters: readonly AvailableAdapter[],
  kinds: ReadonlyMap<string, AdapterKind>,
): readonly AdapterPool[] {
  const pools = new Map<string, { kind: AdapterKind; quantity: number }>();
  for (const { kindId, quantity } of adapters) {
    const kind = kinds.get(kindId);
    if (kind === undefined || quantity < 1) continue;
    pools.set(kindId, { kind, quantity: (pools.get(kindId)?.quantity ?? 0) + quantity });
  }
  return [...pools.values()];
}
