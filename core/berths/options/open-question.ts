import type { BerthOption, OpenQuestion } from './options.ts';

/** What a call most often leaves open and what decides most, first; the rest after these. Judgement, `common practice`. */
const askedFirst = [
  /^inlets$/,
  /configurationIds$/,
  /^lengthOverallM$/,
  /^beamM$/,
  /^draftM$/,
  /^wantsPower$/,
  /needsLineToLine$/,
  /^adapterKindIds$/,
  /^cordSets$/,
  /fromBowM$/,
  /side$/,
];

/**
 * The missing fact whose answer would change most: the one that alone leaves the most berths unconfirmed, then the one
 * that the most berths depend on, then the one asked first. Refused berths do not count: no answer helps them.
 */
export function openQuestion(options: readonly BerthOption[]): OpenQuestion | null {
  const byFact = new Map<string, OpenQuestion>();
  for (const option of options) {
    const facts = new Map(
      option.findings.flatMap(({ level, missingFact }) =>
        level === 'confirm' && missingFact !== undefined ? [[keyOf(missingFact), missingFact] as const] : [],
      ),
    );
    for (const [key, missingFact] of facts) {
      const known = byFact.get(key) ?? { missingFact, berths: 0, decided: 0 };
      byFact.set(key, { ...known, berths: known.berths + 1, decided: known.decided + (facts.size === 1 ? 1 : 0) });
    }
  }
  const [most] = [...byFact.values()].sort(
    (a, b) => b.decided - a.decided || b.berths - a.berths || place(a.missingFact.fact) - place(b.missingFact.fact),
  );
  return most ?? null;
}

function place(fact: string): number {
  const index = askedFirst.findIndex((pattern) => pattern.test(fact));
  return index < 0 ? askedFirst.length : index;
}

function keyOf({ subject, fact }: OpenQuestion['missingFact']): string {
  return `${subject.kind} ${subject.id} ${fact}`;
}
