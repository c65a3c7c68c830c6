import { Temporal } from 'temporal-polyfill';
import type { z } from 'zod';
import { type InputError, Problem } from '../errors.ts';
import { localDayPeriod } from '../local-time.ts';
import type { Fields } from '../pages/fields.ts';
import type { View } from '../pages/view.ts';
import { calendarDay } from '../stays/schema.ts';
import type { newPlanSchema } from './schema.ts';

/** Nights that the form asks for where nobody says otherwise: a week. */
export const usualNights = 7;
const mostNights = 62;

/**
 * What the form says, as the API takes it: days at the marina become instants.
 * @throws Problem `invalid-input` for what is no day or no number of nights
 */
export function askedPlan(fields: Fields, view: View): z.input<typeof newPlanSchema> {
  const { plan } = view.texts;
  const day = calendarDay.safeParse(fields.text('firstDay'));
  const nights = Number(fields.text('nights'));
  const errors: InputError[] = [];
  if (!day.success) errors.push({ in: 'body', pointer: '/firstDay', message: plan.dayFault });
  if (!Number.isInteger(nights) || nights < 1 || nights > mostNights)
    errors.push({ in: 'body', pointer: '/nights', message: plan.nightsFault });
  if (!day.success || errors.length > 0) throw new Problem('invalid-input', errors[0]?.message ?? '', { errors });
  const last = Temporal.PlainDate.from(day.data).add({ days: nights }).toString();
  return {
    period: {
      from: new Date(localDayPeriod(day.data, view.timeZone).from).toISOString(),
      until: new Date(localDayPeriod(last, view.timeZone).from).toISOString(),
    },
    settings: {
      serve: fields.text('serve') === 'nights' ? 'nights' : 'boats',
      movePromised: fields.text('movePromised') !== 'no',
      moveInside: fields.text('moveInside') === 'yes',
    },
    timeLimitS: Number(fields.text('timeLimitS') ?? Number.NaN),
  };
}
