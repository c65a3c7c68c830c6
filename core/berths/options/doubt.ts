import { asksWholeBoat } from '../../electrical/hook-up/whole-boat.ts';
import type { FindingLevel, Verdict } from '../../findings.ts';

/** What rules amount to, in figures: how grave the gravest word is (3 refuses, 0 notes) and how many refuse. */
export interface Doubt {
  readonly gravity: number;
  readonly refusals: number;
  /** The gravity besides questions about the whole boat, which are open at every berth alike. */
  readonly besides: number;
}

export const noDoubt: Doubt = { gravity: 0, refusals: 0, besides: 0 };

const gravityOf: Record<FindingLevel, number> = { refuse: 3, confirm: 2, caution: 1, note: 0 };
const verdicts: readonly Verdict[] = ['clear', 'cautioned', 'unconfirmed', 'refused'];

export function doubtOf(spoken: readonly { readonly rule: string; readonly level: FindingLevel }[]): Doubt {
  let gravity = 0;
  let refusals = 0;
  let besides = 0;
  for (const finding of spoken) {
    const own = gravityOf[finding.level];
    if (own > gravity) gravity = own;
    if (own > besides && !asksWholeBoat(finding)) besides = own;
    if (finding.level === 'refuse') refusals += 1;
  }
  return { gravity, refusals, besides };
}

/** Of one word of this level that is about no whole boat. */
export function doubtOfLevel(level: FindingLevel): Doubt {
  const gravity = gravityOf[level];
  return { gravity, refusals: level === 'refuse' ? 1 : 0, besides: gravity };
}

export function refusalsOf(refusals: number): Doubt {
  return { gravity: gravityOf.refuse, refusals, besides: gravityOf.refuse };
}

export function addDoubt(a: Doubt, b: Doubt): Doubt {
  return {
    gravity: Math.max(a.gravity, b.gravity),
    refusals: a.refusals + b.refusals,
    besides: Math.max(a.besides, b.besides),
  };
}

/** The verdict of findings with this doubt: the same as `verdictOf` the findings. */
export function verdictOfDoubt({ gravity }: Doubt): Verdict {
  return verdicts[gravity] ?? 'refused';
}

export function isSameDoubt(a: Doubt, b: Doubt): boolean {
  return a.gravity === b.gravity && a.refusals === b.refusals && a.besides === b.besides;
}

export function isRefused({ gravity }: Doubt): boolean {
  return gravity === gravityOf.refuse;
}
