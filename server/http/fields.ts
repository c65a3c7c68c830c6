import { z } from 'zod';
import { openEnd } from '../../core/periods.ts';

/** Ids in paths and documents: chosen by the marina or made by the service, safe in a path without escaping. */
export const id = z
  .string()
  .min(1)
  .max(100)
  .regex(/^[\w.:~-]+$/, 'Use letters, digits and . _ : ~ - only.');

/** A line of text that people read: no control characters, and not only spaces. */
export const line = (longest: number) =>
  z
    .string()
    .min(1, { error: 'Write at least one character.', abort: true })
    .max(longest)
    .regex(/^[^\p{Cc}]*[^\p{Cc}\s][^\p{Cc}]*$/u, 'Write one line of text.');

/** An instant: RFC 3339 with offset, of a year that every database can store. */
export const instant = z.iso
  .datetime({ offset: true, error: 'Write an instant with offset: 2030-06-14T15:00:00-05:00.', abort: true })
  .refine((text) => Date.parse(text) >= 0 && Date.parse(text) < openEnd, 'Write an instant from 1970 to 9999.');

export const marinaParams = z.strictObject({ marinaId: id });
