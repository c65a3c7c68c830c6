import { describe, expect, test } from 'vitest';
import { Problem } from '../../../server/errors.ts';
import { isUnchanged, parseIfMatch, requireVersion } from '../../../server/http/version.ts';

describe('If-Match (RFC 9110, 13.1.1: strong comparison)', () => {
  test.each([
    ['"7"', [7]],
    ['"7", "8"', [7, 8]],
    ['*', 'any'],
    ['W/"7"', []], // weak never matches a change
    ['7', []],
    ['"seven"', []],
    ['""', []],
  ])('%s', (header, condition) => {
    expect(parseIfMatch(header)).toEqual(condition);
  });

  test('no header is no condition', () => {
    expect(parseIfMatch(undefined)).toBe(null);
  });

  test('a stale version is refused by name, a present one and "any" pass', () => {
    expect(() => requireVersion([6], 7, 'The stay "Osprey"')).toThrow(Problem);
    expect(() => requireVersion([6], 7, 'The stay "Osprey"')).toThrow(/"Osprey" is at version 7; .* on 6/);
    expect(() => requireVersion([], 7, 'It')).toThrow(Problem);
    expect(() => requireVersion([7], 7, 'It')).not.toThrow();
    expect(() => requireVersion('any', 7, 'It')).not.toThrow();
    expect(() => requireVersion(null, 7, 'It')).not.toThrow();
  });
});

describe('If-None-Match (RFC 9110, 13.1.2: weak comparison)', () => {
  test.each([
    ['"7"', true],
    ['W/"7"', true],
    ['"6", W/"7"', true],
    ['*', true],
    ['"77"', false],
    ['"6"', false],
    ['7', false],
  ])('%s', (header, unchanged) => {
    expect(isUnchanged(header, 7)).toBe(unchanged);
  });
});
