import { Temporal } from 'temporal-polyfill';
import { z } from 'zod';
import { localInstantAt, nextLocalHour } from '../local-time.ts';
import type { View } from '../pages/view.ts';

/** A moment as clocks at the marina show it: `2030-06-14T22:00`; left out: now. */
export const momentQuery = {
  at: z
    .string()
    .max(16)
    .regex(/^\d{4}-(0[1-9]|1[0-2])-([0-2]\d|3[01])T([01]\d|2[0-3]):[0-5]\d$/)
    .optional(),
};

/** Epoch milliseconds of what the form asks for. */
export function momentOf(at: string | undefined, now: number, timeZone: string): number {
  if (at === undefined) return now;
  const [day = '', time = ''] = at.split('T');
  return Date.parse(localInstantAt(day, time, timeZone));
}

const nightHour = 22;
const days = [0, 1, 2, 3, 4, 5, 6];
const dayMs = 86_400_000;

interface MomentFormProps {
  readonly view: View;
  readonly at: number;
  readonly now: number;
  /** Path of a page whose part `#drawing` is brought up to date in place, where scripts run. */
  readonly path?: string;
}

/** Any moment, and the evenings to come, when most boats draw. */
export function MomentForm({ view, at, now, path }: MomentFormProps) {
  const { desk } = view.texts;
  const tonight = nextLocalHour(now, nightHour, view.timeZone);
  const partly =
    path === undefined
      ? {}
      : {
          'hx-get': path,
          'hx-select': '#drawing',
          'hx-target': '#drawing',
          'hx-swap': 'outerHTML',
          'hx-push-url': 'true',
        };
  return (
    <form class="inline-form no-print" aria-label={desk.moment} {...partly}>
      <p class="field">
        <label for="f-at">{desk.moment}</label>
        <input id="f-at" type="datetime-local" name="at" value={localText(at, view.timeZone)} />
      </p>
      <button type="submit" class="second">
        {desk.show}
      </button>
      <p class="actions">
        <a href="?">{desk.now}</a>
        {days.map((day) => {
          const evening = tonight + day * dayMs;
          return (
            <a key={day} href={`?at=${localText(evening, view.timeZone)}`}>
              {day === 0 ? desk.thisEvening : desk.evening(weekday(evening, view))}
            </a>
          );
        })}
      </p>
    </form>
  );
}

function localText(at: number, timeZone: string): string {
  return Temporal.Instant.fromEpochMilliseconds(at)
    .toZonedDateTimeISO(timeZone)
    .toPlainDateTime()
    .toString({ smallestUnit: 'minute' });
}

function weekday(at: number, { locale, timeZone }: View): string {
  return new Intl.DateTimeFormat(locale, { timeZone, weekday: 'short' }).format(at);
}
