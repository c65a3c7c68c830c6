import type { Inventory } from '../../core/inventory/inventory.ts';
import type { Period } from '../../core/periods.ts';
import { localInstant, localTime } from '../local-time.ts';
import { invalid } from '../occupancy/berth-parts.ts';

const twoYearsMs = 731 * 86_400_000;

type Clock = Pick<Inventory, 'timeZone' | 'settings'>;

/**
 * The period of a stay from what was said: days are taken at the marina's usual hours of arrival and departure.
 * @throws Problem `invalid-input` for an hour that a clock change skips, an end before the beginning, or a time more
 * than two years away
 */
export function stayPeriod(
  asked: { readonly arrival: string; readonly departure: string },
  { timeZone, settings }: Clock,
  now: number,
): Period {
  const said = (at: number) => localTime(at, timeZone);
  // Of an hour that clocks show twice, the one that keeps the berth for longer.
  const from = momentOf(asked.arrival, '/arrival', (day) => localInstant(day, settings.arrivalHour, timeZone));
  const until = momentOf(asked.departure, '/departure', (day) =>
    localInstant(day, settings.departureHour, timeZone, 'later'),
  );
  if (until <= from) {
    throw invalid('/departure', `It leaves at ${said(until)}, no later than it arrives (${said(from)}). Correct one.`);
  }
  if (Math.abs(from - now) > twoYearsMs) {
    throw invalid('/arrival', `${said(from)} is more than two years away. Correct the year.`);
  }
  if (Math.abs(until - now) > twoYearsMs) {
    throw invalid('/departure', `${said(until)} is more than two years away. Correct the year.`);
  }
  return { from, until };
}

/** @throws Problem `invalid-input` where the stay is over already: nobody can be given a berth for it. */
export function requireToCome({ until }: Period, { timeZone }: Clock, now: number): void {
  if (until > now) return;
  throw invalid('/departure', `It would be over at ${localTime(until, timeZone)}. Give a departure to come.`);
}

function momentOf(said: string, pointer: string, usualHour: (day: string) => number | null): number {
  if (said.includes('T')) return Date.parse(said);
  const at = usualHour(said);
  if (at !== null) return at;
  throw invalid(pointer, `Clocks at the marina skip the usual hour on ${said}. Give the instant with its offset.`);
}
