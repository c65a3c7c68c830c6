import type { Problem } from '../errors.ts';

/** What a form sent: names with one or more values, all of them text. */
export interface Fields {
  /** Trimmed; null where the field is missing or empty. */
  text(name: string): string | null;
  /** Every value of a name: ticked boxes, rows. */
  all(name: string): readonly string[];
  has(name: string): boolean;
  /** Whether the form had the field, filled or not. */
  isSent(name: string): boolean;
}

export function readFields(body: unknown): Fields {
  const values = new Map<string, readonly string[]>();
  if (typeof body === 'object' && body !== null) {
    for (const [name, value] of Object.entries(body)) values.set(name, [value].flat().map(String));
  }
  const all = (name: string) => values.get(name) ?? [];
  return {
    all,
    isSent: (name) => values.has(name),
    has: (name) => all(name).some((value) => value !== ''),
    text: (name) => all(name)[0]?.trim() || null,
  };
}

/** A form as it is shown: empty, or as it was sent with what was wrong with it. */
export interface FormState {
  /** The action that was tried; null on the first view. */
  readonly action: string | null;
  readonly fields: Fields;
  readonly problem: Problem | null;
  /** For forms whose sending must count once: the same when the form is shown again. */
  readonly key: string;
}

/** What is wrong with a field, by its name: the JSON Pointer of the request's body without the leading slash. */
export function faultOf({ problem }: FormState, name: string): string | null {
  return problem?.parts.errors?.find(({ pointer }) => pointer === `/${name}`)?.message ?? null;
}
