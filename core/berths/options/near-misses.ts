import type { BerthOption, NearMiss } from './options.ts';

const mostRefusals = 2;
const mostNamed = 10;

/** Refused berths whose one or two refusals all have a mend, fewest first: "a cord of 15.2 m", "outlet 7B in service". */
export function nearMisses(refused: readonly BerthOption[]): NearMiss[] {
  const near: NearMiss[] = [];
  for (const { berthId, label, findings } of refused) {
    const refusals = findings.filter(({ level }) => level === 'refuse');
    if (refusals.length > mostRefusals) continue;
    const mends = refusals.flatMap(({ mend }) => (mend === undefined ? [] : [mend]));
    if (mends.length === refusals.length) near.push({ berthId, label, mends: [...new Set(mends)] });
  }
  return near.sort((a, b) => a.mends.length - b.mends.length).slice(0, mostNamed);
}
