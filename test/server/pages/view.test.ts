import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { lengthField, lengthText, momentText, readLength, spoken, viewOf } from '../../../server/pages/view.ts';

const feet = viewOf({ lengths: 'feet', clock: '12' }, 'North Quay', 'America/Chicago');
const metres = viewOf({ lengths: 'metres', clock: '24' }, 'North Quay', 'America/Chicago');

// 1 ft = 0.3048 m and 1 in = 25.4 mm exactly (international yard and pound agreement, 1959).
describe('lengths', () => {
  test.each([
    ['42', 12.802],
    ['42.5', 12.954],
    ['42\' 6"', 12.954],
    ['42 ft 6 in', 12.954],
    ['42ft6', 12.954],
    ['12.8 m', 12.8],
    ['12,8 metres', 12.8],
  ])('are read as people say them: %s', (said, metresMeant) => {
    expect(readLength(feet, said)).toBeCloseTo(metresMeant, 6);
  });

  test('a bare number is in the unit of the view', () => {
    expect(readLength(metres, '12.8')).toBe(12.8);
    expect(readLength(metres, '42 ft')).toBeCloseTo(12.8016, 3);
  });

  test.each(['', 'long', '-4', '4 5', '12 miles', "6' 7' 8"])('are not guessed at: %j', (said) => {
    expect(readLength(feet, said)).toBeNaN();
  });

  test('what a field shows is read back as the same, to half an inch', () => {
    fc.assert(
      fc.property(fc.double({ min: 0, max: 300, noNaN: true }), (length) => {
        expect(Math.abs(readLength(feet, lengthField(feet, length)) - length)).toBeLessThan(0.0127 + 0.0006);
        expect(Math.abs(readLength(metres, lengthField(metres, length)) - length)).toBeLessThan(0.0051);
      }),
    );
  });

  test('are never shown as twelve inches', () => {
    expect(lengthText(feet, 42 * 0.3048 - 0.001)).toBe('42 ft');
    expect(lengthText(metres, 12.8)).toBe('12.80 m');
    expect(lengthText(feet, null)).toBe('not stated');
  });

  test('below a datum keep their sign, also where there is no whole foot', () => {
    expect(lengthText(feet, -0.1)).toBe('-0 ft 4 in');
    expect(lengthText(feet, -0.4064)).toBe('-1 ft 4 in');
  });

  test('in sentences of core follow the view, other figures do not', () => {
    expect(spoken(feet, 'Berth B2 has 12.8 m; 400 mA, 30 min, 5 m2.')).toBe(
      'Berth B2 has 42 ft; 400 mA, 30 min, 5 m2.',
    );
    expect(spoken(metres, 'Berth B2 has 12.8 m.')).toBe('Berth B2 has 12.8 m.');
  });
});

test("moments are told by the marina's clock, in its zone", () => {
  expect(momentText(feet, '2030-06-10T20:05:00Z').replaceAll(/\s/g, ' ')).toBe('Mon, Jun 10, 3:05 PM');
  expect(momentText(metres, '2030-06-10T20:05:00Z')).toBe('Mon, Jun 10, 15:05');
});
