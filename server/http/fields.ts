import { z } from 'zod';

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
    .min(1)
    .max(longest)
    .regex(/^[^\p{Cc}]*\S[^\p{Cc}]*$/u, 'Write one line of text.');

/** An instant: RFC 3339 with offset. */
export const instant = z.iso.datetime({ offset: true });

export const marinaParams = z.strictObject({ marinaId: id });
