import type { Finding, FindingLevel, RuleName } from '../../findings.ts';
import type { SizingInput } from './sizing.ts';

interface Said {
  readonly actual: number | string | null;
  readonly limit: number | string | null;
  readonly unit: string | null;
  readonly source: string;
  readonly message: string;
  readonly mend?: string;
}

/** A finding on the circuit in question. */
export function say({ subject }: SizingInput, rule: RuleName, level: FindingLevel, said: Said): Finding {
  return { rule, level, subject, ...said };
}

/** A finding that asks for a fact of the circuit. */
export function ask(
  input: SizingInput,
  rule: RuleName,
  fact: string,
  question: string,
  source: string,
  message: string,
): Finding {
  const { subject } = input;
  return {
    ...say(input, rule, 'confirm', { actual: null, limit: null, unit: null, source, message }),
    missingFact: { subject, fact, question },
  };
}

export const isPositive = (value: number): boolean => value > 0 && Number.isFinite(value);

/** Two decimals are what a person reads; the finding's numbers keep all of them. */
export const shown = (value: number): number => Math.round(value * 100) / 100;
