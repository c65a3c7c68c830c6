import type { z } from 'zod';
import { type InputError, Problem } from '../errors.ts';
import { plainMessage } from './plain-messages.ts';

type Part = InputError['in'];

/** One part of a request with the schema it must satisfy. */
interface PartOf<Schema extends z.ZodType> {
  readonly part: Part;
  readonly schema: Schema;
  readonly value: unknown;
}

// A faulty list of 10,000 rows is named by its first faults; nobody reads the rest.
const mostErrors = 100;

/** Validates one part of a request; returns its parsed value or adds to `errors`. */
export function validatePart<Schema extends z.ZodType>(
  { part, schema, value }: PartOf<Schema>,
  errors: InputError[],
): z.output<Schema> | undefined {
  if (part === 'query') errors.push(...emptyFields(value));
  const parsed = schema.safeParse(value, { error: plainMessage });
  if (!parsed.success) {
    errors.push(...inputErrors(part, parsed.error));
    return undefined;
  }
  const unstorable = findUnstorableText(value);
  if (unstorable !== null) {
    errors.push({
      in: part,
      pointer: unstorable,
      message: 'Holds a character that cannot be stored (NUL or half a pair).',
    });
  }
  return parsed.data;
}

/** `?limit=` is a slip, and as a number it would count as 0. */
function emptyFields(query: unknown): InputError[] {
  if (typeof query !== 'object' || query === null) return [];
  const empty = Object.entries(query).filter(([, value]) => typeof value === 'string' && value.trim() === '');
  return empty.map(([name]) => ({
    in: 'query',
    pointer: pointerOf([name]),
    message: 'Give it a value, or leave the field out.',
  }));
}

export function throwIfInvalid(errors: readonly InputError[]): void {
  if (errors.length === 0) return;
  const more = errors.length > 1 ? ` (and ${errors.length - 1} more)` : '';
  const [first] = errors;
  throw new Problem('invalid-input', `${first?.in}${first?.pointer}: ${first?.message}${more}`, {
    errors: errors.slice(0, mostErrors),
  });
}

/** zod's issues as JSON Pointers into that part of the request. */
export function inputErrors(part: Part, error: z.ZodError): InputError[] {
  return errorsOf(part, error.issues, []);
}

function errorsOf(part: Part, issues: readonly Issue[], at: readonly PropertyKey[]): InputError[] {
  return issues.flatMap((issue): InputError[] => {
    const path = [...at, ...issue.path];
    if (issue.code === 'unrecognized_keys') {
      return issue.keys.map((key) => ({
        in: part,
        pointer: pointerOf([...path, key]),
        message: 'There is no such field.',
      }));
    }
    if (issue.code === 'invalid_union') {
      // The branch that got furthest says more than "Invalid input".
      const nearest = [...issue.errors].sort((a, b) => furthest(b) - furthest(a))[0];
      if (nearest && furthest(nearest) > 0) {
        return errorsOf(part, nearest, path);
      }
    }
    return [{ in: part, pointer: pointerOf(path), message: issue.message }];
  });
}

type Issue = z.core.$ZodIssue;

function furthest(issues: readonly { readonly path: readonly PropertyKey[] }[]): number {
  return Math.max(0, ...issues.map((issue) => issue.path.length));
}

// An answer does not carry a name of a megabyte back.
const longestName = 200;

/** RFC 6901: `~` and `/` in a name are written `~0` and `~1`. An endless name is cut. */
export function pointerOf(path: readonly PropertyKey[]): string {
  return path.map((step) => `/${cut(String(step)).replaceAll('~', '~0').replaceAll('/', '~1')}`).join('');
}

function cut(name: string): string {
  return name.length > longestName ? `${name.slice(0, longestName)}...` : name;
}

/** PostgreSQL stores neither NUL nor an unpaired surrogate. Returns the pointer of the first such text, or null. */
function findUnstorableText(root: unknown): string | null {
  const open: { value: unknown; path: PropertyKey[] }[] = [{ value: root, path: [] }];
  for (let next = open.pop(); next !== undefined; next = open.pop()) {
    const { value, path } = next;
    if (typeof value === 'string' && unstorable.test(value)) return pointerOf(path);
    if (typeof value !== 'object' || value === null) continue;
    for (const [key, inner] of Object.entries(value)) {
      if (unstorable.test(key)) return pointerOf(path);
      if (typeof inner === 'string' || typeof inner === 'object') open.push({ value: inner, path: [...path, key] });
    }
  }
  return null;
}

// With the `u` flag a surrogate matches only where it stands alone.
// biome-ignore lint/suspicious/noControlCharactersInRegex: NUL is what is looked for
const unstorable = /\u0000|\p{Surrogate}/u;
