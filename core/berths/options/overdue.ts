import type { Finding, Subject } from '../../findings.ts';
import type { UsedBy } from '../occupancy.ts';
import { doubtOfLevel, noDoubt } from './doubt.ts';
import type { OptionsQuestion } from './options.ts';
import type { ReachedOutlet } from './reached-outlets.ts';
import { nothingSaid, type Said } from './said.ts';

type SayTime = OptionsQuestion['sayTime'];

/** A boat that nobody has seen to leave, in words: `by the book "Osprey" leaves at 10 Jun 2030, 11:00, and ...`. */
export function overdueWords({ label, overdue }: UsedBy, sayTime: SayTime): string {
  const at = overdue === undefined || sayTime === undefined ? '' : ` at ${sayTime(overdue.since)}`;
  return `by the book "${label}" leaves${at}, and nobody has entered that it left`;
}

/** What would free what an overdue boat has, in words. */
export function overdueMend({ label }: UsedBy): string {
  return `"${label}" entered as departed, or as lying elsewhere`;
}

/** The question whether a boat that should have left is gone from a berth or an outlet. */
export function askWhetherGone(
  rule: 'space.overdue' | 'outlet.overdue',
  subject: Subject,
  by: UsedBy,
  sayTime: SayTime,
): Finding {
  const what = subject.kind === 'outlet' ? 'Outlet' : 'Berth';
  const question = `Has "${by.label}" left ${what.toLowerCase()} ${subject.label}?`;
  return {
    rule,
    level: 'confirm',
    subject,
    actual: by.label,
    limit: null,
    unit: null,
    source: 'space and outlets are never given twice; a boat is there until somebody has seen it leave',
    message: `${what} ${subject.label}: ${overdueWords(by, sayTime)}. Look before another boat is sent there.`,
    missingFact: { subject, fact: 'departure', question },
    mend: overdueMend(by),
  };
}

/** Says of outlets which of them a boat may still be plugged into. */
export function overdueAtOutlets(
  sayTime: SayTime,
  overdueOfOutlet: ReadonlyMap<string, UsedBy>,
): (outlets: readonly ReachedOutlet[]) => Said {
  if (overdueOfOutlet.size === 0) return () => nothingSaid;
  const confirm = doubtOfLevel('confirm');
  return (outlets) => {
    const doubted = outlets.filter(({ outlet }) => overdueOfOutlet.has(outlet.id));
    const findings = () =>
      doubted.flatMap(({ outlet, supply }) => {
        const by = overdueOfOutlet.get(outlet.id);
        const subject = { kind: 'outlet', id: outlet.id, label: supply.label } as const;
        return by === undefined ? [] : [askWhetherGone('outlet.overdue', subject, by, sayTime)];
      });
    return { doubt: doubted.length === 0 ? noDoubt : confirm, findings };
  };
}
