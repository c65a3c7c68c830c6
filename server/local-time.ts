import { Temporal } from 'temporal-polyfill';
import type { LocalDays } from '../core/berths/tide.ts';
import type { Period } from '../core/periods.ts';

/** An instant in messages, by the marina's clocks and beyond doubt: `10 Jun 2030, 07:00 UTC-05:00`. */
export function localTime(at: number, timeZone: string): string {
  return formatOf(timeZone).format(at).replace('GMT', 'UTC');
}

/** An instant as RFC 3339 by the marina's clocks: `2030-06-10T07:00:00-05:00`. */
export function localTimestamp(at: number, timeZone: string): string {
  const zoned = Temporal.Instant.fromEpochMilliseconds(at).toZonedDateTimeISO(timeZone);
  return `${zoned.toPlainDateTime().toString({ smallestUnit: 'second' })}${zoned.offset}`;
}

const formats = new Map<string, Intl.DateTimeFormat>();

/** Making one costs a hundred times what using it does; there are no more zones than the standard names. */
function formatOf(timeZone: string): Intl.DateTimeFormat {
  const known = formats.get(timeZone);
  if (known !== undefined) return known;
  const format = new Intl.DateTimeFormat('en-GB', {
    timeZone,
    day: 'numeric',
    month: 'short',
    year: 'numeric',
    hour: '2-digit',
    minute: '2-digit',
    hourCycle: 'h23',
    timeZoneName: 'longOffset',
  });
  formats.set(timeZone, format);
  return format;
}

/** The first moment after `at` at which clocks at the marina show the full hour `hour` (0-23), epoch milliseconds. */
export function nextLocalHour(at: number, hour: number, timeZone: string): number {
  const now = Temporal.Instant.fromEpochMilliseconds(at).toZonedDateTimeISO(timeZone);
  const today = now.toPlainDate();
  for (let days = 0; ; days += 1) {
    const candidate = today.add({ days }).toZonedDateTime({ timeZone, plainTime: { hour } }).epochMilliseconds;
    if (candidate > at) return candidate;
  }
}

/** The days at the marina that a period touches; `until` is the day after the last. */
export function localDaysOf({ from, until }: Period, timeZone: string): LocalDays {
  // The period is half-open: its last moment belongs to it, its end does not.
  const last = Temporal.PlainDate.from(localDayOf(until - 1, timeZone));
  return { from: localDayOf(from, timeZone), until: last.add({ days: 1 }).toString() };
}

/**
 * The moment at which clocks at the marina show a full hour of a day, or null where a clock change skips it. Clocks that
 * are put back show an hour twice: `repeated` says which of the two is meant.
 */
export function localInstant(
  day: string,
  hour: number,
  timeZone: string,
  repeated: 'earlier' | 'later' = 'earlier',
): number | null {
  const wanted = Temporal.PlainDate.from(day, { overflow: 'reject' }).toPlainDateTime({ hour });
  const found = wanted.toZonedDateTime(timeZone, { disambiguation: repeated });
  return found.toPlainDateTime().equals(wanted) ? found.epochMilliseconds : null;
}

/** The day at the marina of an instant, `YYYY-MM-DD`. */
export function localDayOf(at: number, timeZone: string): string {
  return Temporal.Instant.fromEpochMilliseconds(at).toZonedDateTimeISO(timeZone).toPlainDate().toString();
}

/** A day at the marina from its first moment to that of the next day: 23 or 25 hours where clocks change. */
export function localDayPeriod(day: string, timeZone: string): Period {
  const date = Temporal.PlainDate.from(day, { overflow: 'reject' });
  return {
    from: date.toZonedDateTime(timeZone).epochMilliseconds,
    until: date.add({ days: 1 }).toZonedDateTime(timeZone).epochMilliseconds,
  };
}

/** The instant, RFC 3339 in UTC, at which clocks at the marina show `time` (`15:30`) on a day; a skipped time is the next. */
export function localInstantAt(day: string, time: string, timeZone: string): string {
  const wanted = Temporal.PlainDate.from(day).toZonedDateTime({ timeZone, plainTime: Temporal.PlainTime.from(time) });
  return new Date(wanted.epochMilliseconds).toISOString();
}

/** An instant as a form's field of date and time holds it, by the marina's clocks: `2030-06-14T15:00`. */
export function localMinute(at: string, timeZone: string): string {
  return Temporal.Instant.from(at).toZonedDateTimeISO(timeZone).toPlainDateTime().toString({ smallestUnit: 'minute' });
}
