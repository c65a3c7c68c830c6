import type { CordSet } from '../../boats.ts';
import type { CordRule } from '../cord-lengths.ts';
import { mayBeUsed } from '../cord-lengths.ts';
import { exceeds } from '../metres.ts';

/** An inlet that waits for a cord. */
export interface CordTaker {
  /** Way of its cord at worst, m. */
  readonly mostM: number;
  readonly rule: CordRule;
  /** Those aboard that fit it. */
  readonly fitting: readonly CordSet[];
}

/**
 * Deals the cord sets aboard to inlets, each set once: the longest to the one that is farthest. Of those left over, one
 * more to each whose own is too short and may be joined to another. Gives for each taker, in their order, its cords.
 */
export function dealCords(takers: readonly CordTaker[]): (readonly CordSet[])[] {
  const dealt = takers.map((): CordSet[] => []);
  const taken = new Set<string>();
  const farthestFirst = takers.map((_, i) => i).sort((a, b) => (takers[b]?.mostM ?? 0) - (takers[a]?.mostM ?? 0));
  const deal = (i: number, { fitting, rule }: CordTaker) => {
    let longest: CordSet | null = null;
    for (const cord of fitting) {
      if (taken.has(cord.id) || !mayBeUsed(cord.lengthM, rule)) continue;
      if (longest === null || cord.lengthM > longest.lengthM) longest = cord;
    }
    if (longest === null) return;
    taken.add(longest.id);
    dealt[i]?.push(longest);
  };
  const turn = (isWanted: (taker: CordTaker, own: readonly CordSet[]) => boolean) => {
    for (const i of farthestFirst) {
      const taker = takers[i];
      if (taker !== undefined && isWanted(taker, dealt[i] ?? [])) deal(i, taker);
    }
  };
  turn(() => true);
  turn(({ rule, mostM }, [own]) => rule.inSeries === 2 && own !== undefined && exceeds(mostM, own.lengthM));
  return dealt;
}
