import { z } from 'zod';
import { openEnd } from '../../core/periods.ts';
import { Problem } from '../errors.ts';

/** The query of every list: spread it into the route's query. */
export const pageQuery = {
  limit: z.coerce.number().int().min(1).max(200).default(50).describe('How many at most.'),
  cursor: z.string().min(1).max(500).optional().describe('Where to go on: from the "next" link of the page before.'),
};

/** A moment within a cursor, epoch milliseconds: one that every database can compare. */
export const momentInCursor = z.int().min(0).max(openEnd);

/** Makes a cursor from the place of the last row shown: the values of the list's order. */
export function encodeCursor(place: readonly (string | number)[]): string {
  return Buffer.from(JSON.stringify(place)).toString('base64url');
}

/**
 * Reads a cursor back; null on the first page. A cursor is opaque to clients and only a place in an order, so it grants
 * nothing: it is validated, not signed. Throws `invalid-input` for anything `place` does not accept.
 */
export function decodeCursor<Place extends z.ZodType>(
  cursor: string | undefined,
  place: Place,
): z.output<Place> | null {
  if (cursor === undefined) return null;
  const parsed = place.safeParse(parseJson(Buffer.from(cursor, 'base64url').toString('utf8')));
  if (parsed.success) return parsed.data;
  throw new Problem('invalid-input', 'The cursor is not one of this list.', {
    errors: [
      { in: 'query', pointer: '/cursor', message: 'Take it unchanged from the "next" link of the page before.' },
    ],
  });
}

/**
 * Cuts a page from rows read with `LIMIT limit + 1`: the extra row only says that there is a next page.
 * @example
 * const page = pageOf(rows, query.limit, (row) => [Number(row.seq)]);
 * return { status: 200, body: { items: page.items.map(document) }, nextCursor: page.nextCursor };
 */
export function pageOf<Row>(
  rows: readonly Row[],
  limit: number,
  placeOf: (row: Row) => readonly (string | number)[],
): { items: readonly Row[]; nextCursor: string | null } {
  const items = rows.slice(0, limit);
  const last = items.at(-1);
  const more = rows.length > limit && last !== undefined;
  return { items, nextCursor: more ? encodeCursor(placeOf(last)) : null };
}

function parseJson(text: string): unknown {
  try {
    return JSON.parse(text);
  } catch {
    return undefined;
  }
}
