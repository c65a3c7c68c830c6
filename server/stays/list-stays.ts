import { z } from 'zod';
import { stayStates } from '../../core/stays/lifecycle.ts';
import { Prisma } from '../db/generated/client.ts';
import { id, instant } from '../http/fields.ts';
import { decodeCursor, momentInCursor, pageOf, pageQuery } from '../http/page.ts';
import type { Services } from '../services.ts';
import { type StayDocument, stayDocument } from './schema.ts';

export const stayListQuery = z.strictObject({
  ...pageQuery,
  state: z.enum(stayStates).optional(),
  from: instant.optional().describe('Only those that last beyond this moment.'),
  until: instant.optional().describe('Only those that arrive before this moment.'),
  needsBerth: z.enum(['true', 'false']).optional().describe('Whether something displaced it and it has no new berth.'),
});

/** One page of stays by arrival. Throws a Problem: `invalid-input` for a cursor of another list. */
export async function listStays(
  { db }: Services,
  marinaId: string,
  { limit, cursor, state, from, until, needsBerth }: z.output<typeof stayListQuery>,
): Promise<{ readonly items: readonly StayDocument[]; readonly nextCursor: string | null }> {
  const after = decodeCursor(cursor, z.tuple([momentInCursor, id]));
  const [arrival, afterId] = after ?? [null, ''];
  const rows = await db.prisma.stay.findMany({
    where: {
      marinaId,
      ...(state === undefined ? {} : { state }),
      ...(from === undefined ? {} : { departureAt: { gt: new Date(from) } }),
      ...(needsBerth === undefined ? {} : { needsBerth: isSet(needsBerth === 'true') }),
      AND: [
        ...(until === undefined ? [] : [{ arrivalAt: { lt: new Date(until) } }]),
        ...(arrival === null
          ? []
          : [
              { arrivalAt: { gte: new Date(arrival) } },
              { OR: [{ arrivalAt: { gt: new Date(arrival) } }, { id: { gt: afterId } }] },
            ]),
      ],
    },
    include: { boat: { select: { name: true } } },
    orderBy: [{ arrivalAt: 'asc' }, { id: 'asc' }],
    take: limit + 1,
  });
  const page = pageOf(rows, limit, (row) => [row.arrivalAt.getTime(), row.id]);
  return { items: page.items.map((row) => stayDocument(row, row.boat)), nextCursor: page.nextCursor };
}

function isSet(wanted: boolean) {
  return wanted ? { not: Prisma.DbNull } : { equals: Prisma.DbNull };
}
