import { type MissingFact, missingFactsOf } from '../../findings.ts';
import type { BerthOption, OpenQuestion } from './options.ts';

/** What a call leaves open and what decides most, first; the rest after these. Judgement, `common practice`. */
const askedFirst = [
  /^inlets$/,
  /configurationIds$/,
  /^lengthOverallM$/,
  /^beamM$/,
  /^draftM$/,
  /^wantsPower$/,
  /needsLineToLine$/,
  /^cordSets$/,
  /^adapterKindIds$/,
  /duty$/,
  /fromBowM$/,
  /side$/,
  /mainBreakerA$/,
  /^frequenciesHz$/,
  /^ownSupplies$/,
];

/** It hangs everywhere, and few can tell it on the phone: it is measured at the dock, so that it is asked last. */
const isBond = ({ fact }: MissingFact): boolean => fact === 'neutralBond';

/**
 * The one question to ask: of the facts that the answer depends on, what the boat's people can tell comes before what
 * somebody must go and look at, and of two that about as many berths hang on the one that is asked first. Nothing is
 * asked while the best berth needs no answer, and of a joint of neutral and ground aboard only where the best berth hangs
 * on nothing else.
 *
 * @param berths best first: those that could take the boat; where there are none, refused ones, of which those count
 * that are refused for want of facts alone
 */
export function openQuestion(berths: readonly BerthOption[]): OpenQuestion | null {
  const [best] = berths;
  if (best === undefined || best.verdict === 'clear' || best.verdict === 'cautioned') return null;
  const all = weigh(berths);
  const ofBest = weigh([best]).filter(({ missingFact }) => !isBond(missingFact));
  const weighed = all.filter(({ missingFact }) => isBond(missingFact) === (ofBest.length === 0));
  const most = Math.max(0, ...weighed.map(({ berths: count }) => count));
  const [first] = weighed
    .filter(({ berths: count }) => count * 2 >= most)
    .sort((a, b) => rank(a.missingFact) - rank(b.missingFact) || b.berths - a.berths);
  return first ?? null;
}

/** Every fact that berths hang on, with how many do. */
function weigh(berths: readonly BerthOption[]): OpenQuestion[] {
  const byFact = new Map<string, OpenQuestion>();
  for (const { findings } of berths) {
    if (findings.some(({ level, missingFact }) => level === 'refuse' && missingFact === undefined)) continue;
    const facts = new Map<string, MissingFact>();
    for (const finding of findings) {
      if (finding.level !== 'confirm' && finding.level !== 'refuse') continue;
      for (const missingFact of missingFactsOf(finding)) facts.set(keyOf(missingFact), missingFact);
    }
    for (const [key, missingFact] of facts) {
      byFact.set(key, { missingFact, berths: (byFact.get(key)?.berths ?? 0) + 1 });
    }
  }
  return [...byFact.values()];
}

function rank({ subject, fact }: MissingFact): number {
  const isBoats = subject.kind === 'boat' || subject.kind === 'inlet';
  const place = askedFirst.findIndex((pattern) => pattern.test(fact));
  return (isBoats ? 0 : 100) + (place < 0 ? askedFirst.length : place);
}

function keyOf({ subject, fact }: MissingFact): string {
  return `${subject.kind} ${subject.id} ${fact}`;
}
