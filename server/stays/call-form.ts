import { Temporal } from 'temporal-polyfill';
import { type InputError, Problem } from '../errors.ts';
import { localInstantAt } from '../local-time.ts';
import type { Fields } from '../pages/fields.ts';
import { readLength, type View } from '../pages/view.ts';

const lengths = ['lengthOverallM', 'beamM', 'draftM', 'inletFromBowM'] as const;

/**
 * What the call's form says, as the API takes a call. The form speaks of nights and of feet; everything else is passed on
 * as it was typed, and the API judges it.
 * @throws Problem `invalid-input` for what is no length, no day or no number of nights
 */
export function callOf(fields: Fields, view: View): Record<string, unknown> {
  const { desk } = view.texts;
  const errors: InputError[] = [];
  const fault = (name: string, message: string) => errors.push({ in: 'body', pointer: `/${name}`, message });
  const call: Record<string, unknown> = {};
  for (const name of lengths) {
    const said = fields.text(name);
    if (said === null) continue;
    const metres = readLength(view, said);
    if (Number.isNaN(metres)) fault(name, desk.lengthFault);
    else call[name] = metres;
  }
  for (const name of ['name', 'phone', 'boatName', 'hull', 'plug', 'inletSide', 'note'] as const) {
    const said = fields.text(name);
    if (said !== null) call[name] = said;
  }
  const airConditioning = fields.text('airConditioning');
  if (airConditioning !== null) call.airConditioning = airConditioning === 'yes';

  const day = dayOf(fields.text('arrival'));
  const nights = Number(fields.text('nights') ?? '1');
  if (day === null) fault('arrival', desk.dayFault);
  if (!Number.isInteger(nights) || nights < 1 || nights > 365) fault('nights', desk.nightsFault);
  else if (day !== null) {
    call.arrival = arrivalOf(day, fields.text('arrivalTime'), view.timeZone);
    call.departure = day.add({ days: nights }).toString();
  }
  if (errors.length > 0) throw new Problem('invalid-input', errors[0]?.message ?? '', { errors });
  return call;
}

function dayOf(text: string | null): Temporal.PlainDate | null {
  if (text === null || !/^\d{4}-\d{2}-\d{2}$/.test(text)) return null;
  try {
    return Temporal.PlainDate.from(text, { overflow: 'reject' });
  } catch (error) {
    // The calendar has no such day: what was typed is wrong, not the program.
    if (error instanceof RangeError) return null;
    throw error;
  }
}

/** The day alone means the marina's usual hour. */
function arrivalOf(day: Temporal.PlainDate, time: string | null, timeZone: string): string {
  if (time === null || !/^\d{2}:\d{2}$/.test(time)) return day.toString();
  return localInstantAt(day.toString(), time, timeZone);
}
