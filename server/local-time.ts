import { Temporal } from 'temporal-polyfill';

/** An instant as people at the marina say it: `10 Jun 2030, 07:00`. */
export function localTime(at: number, timeZone: string): string {
  return new Intl.DateTimeFormat('en-GB', {
    timeZone,
    day: 'numeric',
    month: 'short',
    year: 'numeric',
    hour: '2-digit',
    minute: '2-digit',
    hourCycle: 'h23',
  }).format(at);
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
