import type { Inventory } from '../../core/inventory/inventory.ts';
import type { Period } from '../../core/periods.ts';
import { localInstant } from '../local-time.ts';
import { invalid } from '../occupancy/berth-parts.ts';

const twoYearsMs = 731 * 86_400_000;

type Clock = Pick<Inventory, 'timeZone' | 'settings'>;

/**
 * The period of a stay from what was said: days are taken at the marina's usual hours of arrival and departure.
 * @throws Problem `invalid-input` for an hour that a clock change skips, an end before the beginning, or a time more
 * than two years away
 */
export function stayPeriod(
  said: { readonly arrival: string; readonly departure: string },
  { timeZone, settings }: Clock,
  now: number,
): Period {
  const from = momentOf(said.arrival, settings.arrivalHour, timeZone, '/arrival');
  const until = momentOf(said.departure, settings.departureHour, timeZone, '/departure');
  if (until <= from) {
    throw invalid('/departure', `It leaves at ${iso(until)}, no later than it arrives (${iso(from)}). Correct one.`);
  }
  if (Math.abs(from - now) > twoYearsMs) {
    throw invalid('/arrival', `${iso(from)} is more than two years away. Correct the year.`);
  }
  if (Math.abs(until - now) > twoYearsMs) {
    throw invalid('/departure', `${iso(until)} is more than two years away. Correct the year.`);
  }
  return { from, until };
}

/** @throws Problem `invalid-input` where the stay is over already: nobody can be given a berth for it. */
export function requireToCome({ until }: Period, now: number): void {
  if (until <= now) throw invalid('/departure', `It would be over at ${iso(until)}. Give a departure to come.`);
}

function momentOf(said: string, hour: number, timeZone: string, pointer: string): number {
  if (said.includes('T')) return Date.parse(said);
  const at = localInstant(said, hour, timeZone);
  if (at !== null) return at;
  throw invalid(pointer, `Clocks at the marina skip ${hour}:00 on ${said}. Give the instant with its offset.`);
}

function iso(at: number): string {
  return new Date(at).toISOString();
}
