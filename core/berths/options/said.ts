import type { Finding } from '../../findings.ts';
import { type Doubt, doubtOf, noDoubt } from './doubt.ts';

/** What rules say, in figures; `findings` puts it into words, which costs more and is asked for a few berths only. */
export interface Said {
  readonly doubt: Doubt;
  readonly findings: () => readonly Finding[];
}

export const nothingSaid: Said = { doubt: noDoubt, findings: () => [] };

export function said(findings: readonly Finding[]): Said {
  return { doubt: doubtOf(findings), findings: () => findings };
}
