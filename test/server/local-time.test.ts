import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { lowestTide } from '../../core/berths/tide.ts';
import {
  localDayOf,
  localDayPeriod,
  localDaysOf,
  localInstant,
  localTime,
  localTimestamp,
  nextLocalHour,
} from '../../server/local-time.ts';

const chicago = 'America/Chicago';
const iso = (at: number | null) => (at === null ? null : new Date(at).toISOString());
const hourMs = 3_600_000;

// Clock changes as the law has them: USA, second Sunday in March and first Sunday in November at 2:00 local time
// (15 U.S.C. 260a); European Union, last Sundays in March and October at 1:00 UTC (Directive 2000/84/EC).
describe('an instant in words', () => {
  it.each([
    ['2030-06-14T20:00:00Z', chicago, '14 Jun 2030, 15:00 UTC-05:00', '2030-06-14T15:00:00-05:00'],
    ['2030-12-14T20:00:00Z', chicago, '14 Dec 2030, 14:00 UTC-06:00', '2030-12-14T14:00:00-06:00'],
    // Shown twice by the clocks of that night: the offset tells the two apart.
    ['2030-11-03T06:30:00Z', chicago, '3 Nov 2030, 01:30 UTC-05:00', '2030-11-03T01:30:00-05:00'],
    ['2030-11-03T07:30:00Z', chicago, '3 Nov 2030, 01:30 UTC-06:00', '2030-11-03T01:30:00-06:00'],
    ['2030-06-14T23:59:59Z', 'Asia/Kolkata', '15 Jun 2030, 05:29 UTC+05:30', '2030-06-15T05:29:59+05:30'],
    ['2030-06-14T00:00:00Z', 'UTC', '14 Jun 2030, 00:00 UTC+00:00', '2030-06-14T00:00:00+00:00'],
  ])('%s in %s', (instant, timeZone, words, stamp) => {
    expect(localTime(Date.parse(instant), timeZone)).toBe(words);
    expect(localTimestamp(Date.parse(instant), timeZone)).toBe(stamp);
    expect(Math.abs(Date.parse(stamp) - Date.parse(instant))).toBe(0);
  });
});

describe('an hour of a day at the marina', () => {
  it.each([
    ['2030-06-14', 15, chicago, '2030-06-14T20:00:00.000Z'],
    ['2030-12-14', 15, chicago, '2030-12-14T21:00:00.000Z'],
    ['2030-03-10', 1, chicago, '2030-03-10T07:00:00.000Z'],
    ['2030-03-10', 2, chicago, null],
    ['2030-03-10', 3, chicago, '2030-03-10T08:00:00.000Z'],
    ['2030-03-31', 1, 'Europe/Paris', '2030-03-31T00:00:00.000Z'],
    ['2030-03-31', 2, 'Europe/Paris', null],
    ['2030-03-31', 3, 'Europe/Paris', '2030-03-31T01:00:00.000Z'],
    ['2028-02-29', 0, 'Asia/Tokyo', '2028-02-28T15:00:00.000Z'],
    // Samoa went over the date line without 30 December 2011 (IANA time zone database, australasia).
    ['2011-12-30', 12, 'Pacific/Apia', null],
  ])('%s %i:00 in %s is %s', (day, hour, timeZone, instant) => {
    expect(iso(localInstant(day, hour, timeZone))).toBe(instant);
  });

  it('is two moments where clocks are put back', () => {
    expect(iso(localInstant('2030-11-03', 1, chicago, 'earlier'))).toBe('2030-11-03T06:00:00.000Z');
    expect(iso(localInstant('2030-11-03', 1, chicago, 'later'))).toBe('2030-11-03T07:00:00.000Z');
    expect(iso(localInstant('2030-11-03', 2, chicago, 'later'))).toBe('2030-11-03T08:00:00.000Z');
  });

  it('is not of a day that no calendar has', () => {
    expect(() => localInstant('2030-02-30', 12, chicago)).toThrow(RangeError);
  });

  it('comes next at most a day and a clock change later', () => {
    const zone = fc.constantFrom(chicago, 'Europe/Paris', 'Australia/Lord_Howe', 'Asia/Kolkata', 'Pacific/Apia');
    const at = fc.integer({ min: Date.UTC(2026, 0, 1), max: Date.UTC(2032, 0, 1) });
    fc.assert(
      fc.property(zone, at, fc.integer({ min: 0, max: 23 }), (timeZone, from, hour) => {
        const next = nextLocalHour(from, hour, timeZone);
        expect(next).toBeGreaterThan(from);
        expect(next - from).toBeLessThanOrEqual(26 * hourMs);
      }),
    );
  });
});

describe('the days of a period', () => {
  const daysOf = (from: string, until: string, timeZone = chicago) =>
    localDaysOf({ from: Date.parse(from), until: Date.parse(until) }, timeZone);

  it('are those that it touches at the marina', () => {
    // Friday noon to Sunday noon.
    expect(daysOf('2030-06-14T12:00:00-05:00', '2030-06-16T12:00:00-05:00')).toEqual({
      from: '2030-06-14',
      until: '2030-06-17',
    });
    // Evening there is the next day in Greenwich.
    expect(daysOf('2030-06-14T22:00:00-05:00', '2030-06-14T23:00:00-05:00')).toEqual({
      from: '2030-06-14',
      until: '2030-06-15',
    });
  });

  it('leave out the day on whose first moment it ends', () => {
    expect(daysOf('2030-06-14T00:00:00-05:00', '2030-06-15T00:00:00-05:00')).toEqual({
      from: '2030-06-14',
      until: '2030-06-15',
    });
  });

  it('are the days whose tides count', () => {
    const predictedLowTides = [
      { from: '2030-06-14', until: '2030-06-15', heightM: -0.1 },
      { from: '2030-06-15', until: '2030-06-16', heightM: -0.9 },
    ];
    const tideOf = (until: string) =>
      lowestTide(daysOf('2030-06-14T12:00:00-05:00', until), { lowestTideM: null, predictedLowTides }).heightM;
    expect(tideOf('2030-06-15T00:00:00-05:00')).toBe(-0.1);
    expect(tideOf('2030-06-15T00:00:01-05:00')).toBe(-0.9);
  });
});

describe('a day at the marina', () => {
  const hoursOf = (day: string) => {
    const { from, until } = localDayPeriod(day, chicago);
    return (until - from) / hourMs;
  };

  it('has 23, 24 or 25 hours', () => {
    expect(hoursOf('2030-03-10')).toBe(23);
    expect(hoursOf('2030-06-14')).toBe(24);
    expect(hoursOf('2030-11-03')).toBe(25);
  });

  it('is that of each of its moments and of none besides', () => {
    const days = fc.integer({ min: 0, max: 3_650 }).map((n) => iso(Date.UTC(2026, 0, 1) + n * 24 * hourMs));
    const zone = fc.constantFrom(chicago, 'Europe/Paris', 'Australia/Lord_Howe', 'America/Havana');
    fc.assert(
      fc.property(zone, days, (timeZone, text) => {
        const day = `${text}`.slice(0, 10);
        const { from, until } = localDayPeriod(day, timeZone);
        expect([from, until - 1].map((at) => localDayOf(at, timeZone))).toEqual([day, day]);
        expect([from - 1, until].map((at) => localDayOf(at, timeZone))).not.toContain(day);
        expect(localDaysOf({ from, until }, timeZone).from).toBe(day);
        expect(localDaysOf({ from, until }, timeZone).until).toBe(localDayOf(until, timeZone));
      }),
    );
  });
});
