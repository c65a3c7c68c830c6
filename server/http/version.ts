import { Problem } from '../errors.ts';

/**
 * The versions a caller is willing to change: from `If-Match`, or from a page's form. `any` is `If-Match: *`.
 * A version is a row's `version`, or the marina's `inventoryRevision`.
 */
export type VersionCondition = 'any' | readonly number[];

/** The strong ETag of a version. */
export function etagOf(version: number): string {
  return `"${version}"`;
}

/**
 * Reads `If-Match`. A weak tag never matches a change (RFC 9110, 13.1.1: strong comparison), and a tag that this
 * service never gave out matches nothing.
 */
export function parseIfMatch(header: string | undefined): VersionCondition | null {
  if (header === undefined) return null;
  if (header.trim() === '*') return 'any';
  return tagsOf(header)
    .filter((tag) => /^"\d{1,15}"$/.test(tag))
    .map((tag) => Number(tag.slice(1, -1)));
}

/** Whether `If-None-Match` names this version; weak tags count (RFC 9110, 13.1.2: weak comparison). */
export function isUnchanged(ifNoneMatch: string | undefined, version: number): boolean {
  if (ifNoneMatch === undefined) return false;
  if (ifNoneMatch.trim() === '*') return true;
  return tagsOf(ifNoneMatch).some((tag) => tag.replace(/^W\//, '') === etagOf(version));
}

/** Throws `stale-version` unless the caller knows the present version. Call it inside the marina transaction. */
export function requireVersion(condition: VersionCondition | null, present: number, subject: string): void {
  if (condition === null || condition === 'any' || condition.includes(present)) return;
  const known = condition.length === 0 ? 'none that exists' : condition.join(', ');
  throw new Problem(
    'stale-version',
    `${subject} is at version ${present}; the change is based on ${known}. Read it again and repeat the change.`,
  );
}

/** None where the header is no list of tags. */
function tagsOf(header: string): string[] {
  if (!/^\s*(?:W\/)?"[^"]*"(?:\s*,\s*(?:W\/)?"[^"]*")*\s*$/.test(header)) return [];
  return header.match(/(?:W\/)?"[^"]*"/g) ?? [];
}
