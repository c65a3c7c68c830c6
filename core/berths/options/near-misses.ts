import type { BerthOption, NearMiss } from './options.ts';
import type { RankedBerth } from './rank-berths.ts';

const mostRefusals = 2;
const mostNamed = 10;

/**
 * Refused berths worth a look, the likeliest first: those with free space, for which a cord, an adapter or an outlet is
 * all that lacks, before those that somebody else would have to give up.
 */
export function mayBeNear(refused: readonly RankedBerth[]): RankedBerth[] {
  const few = refused.filter(({ refusals }) => refusals <= mostRefusals);
  return [...few.filter(({ hasRoom }) => hasRoom), ...few.filter(({ hasRoom }) => !hasRoom)];
}

/** Berths whose one or two refusals all have a mend, in their order: "a cord of 15.24 m", "outlet 7B free for the stay". */
export function nearMisses(refused: readonly BerthOption[]): NearMiss[] {
  const near: NearMiss[] = [];
  for (const { berthId, label, findings } of refused) {
    const refusals = findings.filter(({ level }) => level === 'refuse');
    const mends = refusals.flatMap(({ mend }) => (mend === undefined ? [] : [mend]));
    if (mends.length === refusals.length) near.push({ berthId, label, mends: [...new Set(mends)] });
  }
  return near.slice(0, mostNamed);
}
