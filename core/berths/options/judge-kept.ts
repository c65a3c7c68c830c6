import type { Berth } from '../../inventory/inventory.ts';
import { type BerthChoice, judgeChoice } from './judge-choice.ts';
import type { Prepared } from './prepared.ts';
import type { RankedBerth } from './rank-berths.ts';
import type { BerthFacts } from './reached-outlets.ts';

/**
 * Judges a boat where it is placed already, with the outlets that are kept for it and no others: a boat that stays longer
 * is not told to plug in elsewhere.
 */
export function judgeKept(
  prepared: Prepared,
  berth: Berth,
  choice: BerthChoice,
  keptOutletIds: ReadonlySet<string>,
): RankedBerth {
  const keptOf = (facts: BerthFacts): BerthFacts => ({
    ...facts,
    reached: facts.reached.filter(({ outlet }) => keptOutletIds.has(outlet.id)),
    shorePower: facts.shorePower.filter(({ outlet }) => keptOutletIds.has(outlet.id)),
  });
  return judgeChoice({ ...prepared, factsOf: (asked) => keptOf(prepared.factsOf(asked)) }, berth, choice);
}
