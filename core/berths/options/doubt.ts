import type { FindingLevel, Verdict } from '../../findings.ts';

/** What rules amount to, in figures: how grave the gravest word is (3 refuses, 0 notes) and how many refuse. */
export interface Doubt {
  readonly gravity: number;
  readonly refusals: number;
}

export const noDoubt: Doubt = { gravity: 0, refusals: 0 };

const gravityOf: Record<FindingLevel, number> = { refuse: 3, confirm: 2, caution: 1, note: 0 };
const verdicts: readonly Verdict[] = ['clear', 'cautioned', 'unconfirmed', 'refused'];

export function doubtOf(spoken: readonly { readonly level: FindingLevel }[]): Doubt {
  let gravity = 0;
  let refusals = 0;
  for (const { level } of spoken) {
    if (gravityOf[level] > gravity) gravity = gravityOf[level];
    if (level === 'refuse') refusals += 1;
  }
  return { gravity, refusals };
}

export function refusalsOf(refusals: number): Doubt {
  return { gravity: gravityOf.refuse, refusals };
}

export function addDoubt(a: Doubt, b: Doubt): Doubt {
  return { gravity: Math.max(a.gravity, b.gravity), refusals: a.refusals + b.refusals };
}

/** The verdict of findings with this doubt: the same as `verdictOf` the findings. */
export function verdictOfDoubt({ gravity }: Doubt): Verdict {
  return verdicts[gravity] ?? 'refused';
}

export function isSameDoubt(a: Doubt, b: Doubt): boolean {
  return a.gravity === b.gravity && a.refusals === b.refusals;
}

export function isRefused({ gravity }: Doubt): boolean {
  return gravity === gravityOf.refuse;
}
