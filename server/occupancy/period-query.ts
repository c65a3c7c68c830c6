import { z } from 'zod';
import type { Period } from '../../core/periods.ts';
import { type InputError, Problem } from '../errors.ts';
import { instant } from '../http/fields.ts';

/** The query of reads of a moment or of a period. */
export const periodQuery = z
  .strictObject({
    at: instant.optional().describe('At this moment; left out together with the others: now.'),
    from: instant.optional(),
    until: instant.optional(),
  })
  .refine(({ at, from, until }) => at === undefined || (from === undefined && until === undefined), {
    path: ['at'],
    message: 'Give "at" alone, or "from" and "until".',
  })
  .refine(({ from, until }) => (from === undefined) === (until === undefined), {
    path: ['until'],
    message: 'Give "from" and "until" together.',
  });

/**
 * The period that a query asks for; a moment is a period of one millisecond.
 * @throws Problem `invalid-input` where the period is empty or longer than `mostDays`.
 */
export function periodOf({ at, from, until }: z.output<typeof periodQuery>, now: number, mostDays: number): Period {
  if (from === undefined || until === undefined) {
    const moment = at === undefined ? now : Date.parse(at);
    return { from: moment, until: moment + 1 };
  }
  const period = { from: Date.parse(from), until: Date.parse(until) };
  const days = (period.until - period.from) / 86_400_000;
  if (days > 0 && days <= mostDays) return period;
  const message = `The period must be longer than nothing and at most ${mostDays} days; this one has ${days.toFixed(1)}.`;
  const error: InputError = { in: 'query', pointer: '/until', message };
  throw new Problem('invalid-input', message, { errors: [error] });
}
