import { z } from 'zod';
import { localDayOf, localDayPeriod } from '../local-time.ts';
import type { View } from '../pages/view.ts';
import { calendarDay } from '../stays/schema.ts';

/** First and last day of what is looked at. */
export const seasonQuery = z.strictObject({ from: calendarDay.optional(), until: calendarDay.optional() });

const dayMs = 86_400_000;
const halfSeason = 90;
const mostDays = 365;

export interface Season {
  readonly first: string;
  readonly last: string;
  /** RFC 3339, as the API takes a period. */
  readonly from: string;
  readonly until: string;
}

/** Three months to both sides of now, unless said otherwise; at most a year. */
export function seasonOf({ from, until }: z.output<typeof seasonQuery>, now: number, timeZone: string): Season {
  const first = from ?? localDayOf(now - halfSeason * dayMs, timeZone);
  const start = localDayPeriod(first, timeZone).from;
  const asked = until ?? localDayOf(start + 2 * halfSeason * dayMs, timeZone);
  const longest = localDayOf(start + mostDays * dayMs, timeZone);
  // Days written so sort as they follow each other: neither before the first nor beyond a year.
  const last = [first, asked, longest].sort()[1] ?? first;
  return {
    first,
    last,
    from: new Date(start).toISOString(),
    until: new Date(localDayPeriod(last, timeZone).until).toISOString(),
  };
}

interface SeasonFormProps {
  readonly view: View;
  readonly season: Pick<Season, 'first' | 'last'>;
}

export function SeasonForm({ view, season: { first, last } }: SeasonFormProps) {
  const { manage, desk } = view.texts;
  return (
    <form class="inline-form no-print" aria-label={manage.season}>
      <p class="field">
        <label for="f-from">{manage.from}</label>
        <input id="f-from" type="date" name="from" value={first} />
      </p>
      <p class="field">
        <label for="f-until">{manage.until}</label>
        <input id="f-until" type="date" name="until" value={last} />
      </p>
      <button type="submit" class="second">
        {desk.show}
      </button>
    </form>
  );
}
