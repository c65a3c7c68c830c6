import { Temporal } from 'temporal-polyfill';

/** Local days as text, `YYYY-MM-DD`: they compare and sort as text. */
export function addDays(day: string, days: number): string {
  const date = new Date(`${day}T00:00:00Z`);
  date.setUTCDate(date.getUTCDate() + days);
  return date.toISOString().slice(0, 10);
}

/** 0 is Sunday. */
export function weekday(day: string): number {
  return new Date(`${day}T00:00:00Z`).getUTCDay();
}

const known = new Map<string, number>();

/** The moment at which clocks at the marina show a time of a day, epoch milliseconds. */
export function localMoment(day: string, hour: number, timeZone: string, minute = 0): number {
  const key = `${day} ${hour} ${minute} ${timeZone}`;
  const found = known.get(key);
  if (found !== undefined) return found;
  const moment = Temporal.PlainDate.from(day).toZonedDateTime({
    timeZone,
    plainTime: { hour, minute },
  }).epochMilliseconds;
  known.set(key, moment);
  return moment;
}

/** The local day of a moment. */
export function localDay(at: number, timeZone: string): string {
  return Temporal.Instant.fromEpochMilliseconds(at).toZonedDateTimeISO(timeZone).toPlainDate().toString();
}
