import type { AdapterKind } from '../../standards/adapter-kind.ts';
import { assemble } from './assemble.ts';
import type { AvailableAdapter } from './available-adapter.ts';
import { type Candidate, type Combination, combine, compareScores, type Score, undominated } from './combine.ts';
import { type AdapterPool, enumerateComponents, mostAdaptersInRow, mostInlets } from './components.ts';
import { prepareGrades } from './grades.ts';
import type { HookUp, HookUpContext, PlacedAdapter } from './hook-up.ts';
import { cordCounts, powerInlets } from './inlet-rules.ts';
import { groupLike, type LikeOutlets } from './like-outlets.ts';
import type { SupplyOutlet } from './supply-outlet.ts';

/** What a search depends on besides the outlets. */
export interface SearchFacts extends Omit<HookUpContext, 'outlets'> {
  readonly adapters: readonly AvailableAdapter[];
}

export interface HookUpSearch {
  /**
   * The best hook-ups that feed every power inlet, best first; where there is none, those that leave some out, and only
   * after that refused ones. Of like outlets the first ones are named, and no way comes twice that differs in them alone.
   */
  readonly best: (outlets: readonly SupplyOutlet[], most: number) => FoundWays;
  /**
   * Those that need a piece to bring and are else not refused, with as few adapters in a row as may be: of every power
   * inlet, or of some where none does.
   */
  readonly toBring: (outlets: readonly SupplyOutlet[], most: number) => readonly GradedHookUp[];
  /** All of them to go through as `best` orders them, with those that leave an inlet without power and are not refused. */
  readonly all: (outlets: readonly SupplyOutlet[], most: number) => AllWays;
}

export interface FoundWays {
  readonly ways: readonly GradedHookUp[];
  /** True where the search was cut short at its bound; the best found stand. */
  readonly truncated: boolean;
}

export interface AllWays {
  readonly best: readonly GradedHookUp[];
  readonly partial: () => readonly GradedHookUp[];
}

export interface GradedHookUp {
  readonly hookUp: HookUp;
  /** Of its gravest finding besides questions about the whole boat: 3 refuses, 2 asks, 1 cautions, 0 notes. */
  readonly gravity: number;
}

// Far above any berth; they bound what a caller of the calculator can make the search do.
const mostComponents = 3_000;
const mostOutlets = 31;
// Pieces from aboard are taken before the dock's.
const ownerOrder: readonly PlacedAdapter['from'][] = ['aboard', 'stock', 'toBring'];

/** Every power inlet fed, or some, by nothing that is refused. */
const allUsable = { partial: false, usable: true };
const someUsable = { partial: true, usable: true };

/** Prepares to search for one boat at any number of berths: what is like at two of them is judged once. */
export function prepareHookUpSearch(facts: SearchFacts): HookUpSearch {
  const { boat } = facts;
  const adapters = [...facts.adapters].sort((a, b) => ownerOrder.indexOf(a.from) - ownerOrder.indexOf(b.from));
  const pools = poolsOf(adapters, facts.adapterKinds);
  const grades = prepareGrades(facts, pools);
  const inletCount = Math.min(powerInlets(boat).length, mostInlets);
  const mostInRow = pools.length === 0 ? 0 : mostAdaptersInRow;

  // Only those that can run short: an inlet for which none is aboard says so itself.
  const cords = cordCounts(boat).filter(({ count }) => count < inletCount);
  const cordConfigurations = cords.map(({ configurationId }) => configurationId);
  const quantitiesOf = (groups: readonly LikeOutlets[]) => [
    ...groups.map(({ length }) => length),
    ...pools.map(({ quantity }) => quantity),
    ...cords.map(({ count }) => count),
  ];
  const candidatesOf = (groups: readonly LikeOutlets[], inRow: number) => {
    const outlets = new Map(groups.flatMap((group) => group.map((outlet) => [outlet.id, outlet] as const)));
    const { components, truncated } = enumerateComponents(boat, groups, pools, inRow, mostComponents);
    const candidates = undominated(
      components,
      pools.length,
      cordConfigurations,
      (component) => grades.endsOf(component, outlets),
      (component) => grades.leastOfWiring(component, outlets),
      (component) => grades.wiringOf(component, () => assemble([component], groups, pools, []), outlets),
    );
    return { candidates, truncated };
  };
  const combined = (
    candidates: readonly Candidate[],
    groups: readonly LikeOutlets[],
    most: number,
    of: { readonly partial: boolean; readonly usable: boolean },
  ) => combine(candidates, inletCount, quantitiesOf(groups), most, of);
  /** Leaving an inlet without power is worth a thought only where nothing feeds them all, a refused way only after that. */
  const orElse = (
    full: readonly Combination[],
    candidates: readonly Candidate[],
    groups: readonly LikeOutlets[],
    most: number,
  ): readonly Combination[] => {
    if (full.length > 0) return full;
    const partial = combined(candidates, groups, most, someUsable);
    if (partial.length > 0) return partial;
    const refused = combined(candidates, groups, most, { partial: false, usable: false });
    return refused.length > 0 ? refused : combined(candidates, groups, most, { partial: true, usable: false });
  };
  const assembled = (best: readonly Combination[], groups: readonly LikeOutlets[]): GradedHookUp[] =>
    best.map(({ components, score }) => {
      return { hookUp: assemble(components, groups, pools, adapters), gravity: score.gravity };
    });
  /** More and more adapters in a row, until more of them can only be worse than what is found. */
  const stages = (groups: readonly LikeOutlets[], most: number) => {
    const least = grades.leastFrom(groups);
    for (let inRow = 0; ; inRow++) {
      const { candidates, truncated } = candidatesOf(groups, inRow);
      const full = combined(candidates, groups, most, allUsable);
      const last = full[most - 1];
      const more: Score = { ...least, unfed: 0, adapters: inRow + 1, outlets: 1 };
      const isEnough = last !== undefined && compareScores(last.score, more) <= 0;
      if (isEnough || inRow === mostInRow) return { candidates, truncated, full };
    }
  };

  return {
    best: (given, most) => {
      const groups = groupLike(given.slice(0, mostOutlets));
      const { candidates, truncated, full } = stages(groups, most);
      const ways = assembled(orElse(full, candidates, groups, most), groups);
      return { ways, truncated: truncated || given.length > mostOutlets };
    },
    toBring: (given, most) => {
      const groups = groupLike(given.slice(0, mostOutlets));
      let partial: GradedHookUp[] = [];
      for (let inRow = 1; inRow <= mostInRow; inRow++) {
        const { candidates } = candidatesOf(groups, inRow);
        const waysOf = (of: typeof allUsable) =>
          assembled(combined(candidates, groups, most, of), groups).filter(needsToBring);
        const full = waysOf(allUsable);
        if (full.length > 0) return full;
        if (partial.length === 0) partial = waysOf(someUsable);
      }
      return partial;
    },
    all: (given, most) => {
      const groups = groupLike(given.slice(0, mostOutlets));
      const { candidates } = candidatesOf(groups, mostInRow);
      const full = combined(candidates, groups, most, allUsable);
      return {
        best: assembled(orElse(full, candidates, groups, most), groups),
        partial: () => assembled(combined(candidates, groups, most, someUsable), groups),
      };
    },
  };
}

function needsToBring({ hookUp: { adapters } }: GradedHookUp): boolean {
  return adapters.some(({ from }) => from === 'toBring');
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
