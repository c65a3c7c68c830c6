import { z } from 'zod';
import { everyRole } from '../http/access.ts';
import { instant, marinaParams } from '../http/fields.ts';
import { decodeCursor, pageOf, pageQuery } from '../http/page.ts';
import { defineRoute, type RouteDefinition } from '../http/route.ts';

const change = z
  .strictObject({
    seq: z.int().describe('Number of the change in its marina, without gaps in the order of writing.'),
    kind: z.string(),
    actor: z.string(),
    at: instant,
    before: z.unknown().describe('What it changed, as it was; null where it is new.'),
    after: z.unknown().describe('What it changed, as it is since; null where it is gone.'),
  })
  .meta({ id: 'Change' });

export const routes: RouteDefinition[] = [
  defineRoute({
    method: 'GET',
    url: '/v1/marinas/:marinaId/changes',
    operationId: 'listChanges',
    summary: 'List what was changed, oldest first',
    description: 'Poll with the last seq seen to follow the marina.',
    tag: 'Changes',
    roles: everyRole,
    params: marinaParams,
    query: z.strictObject({
      ...pageQuery,
      after: z.coerce.number().int().min(0).default(0).describe('Only changes with a greater seq.'),
    }),
    response: { 200: z.strictObject({ items: z.array(change) }) },
  }).handle(async ({ params, query }, { db }) => {
    const [after] = decodeCursor(query.cursor, z.tuple([z.int().min(0)])) ?? [query.after];
    const rows = await db.prisma.change.findMany({
      where: { marinaId: params.marinaId, seq: { gt: after } },
      orderBy: { seq: 'asc' },
      take: query.limit + 1,
    });
    const page = pageOf(rows, query.limit, (row) => [Number(row.seq)]);
    const items = page.items.map(({ marinaId: _, seq, at, ...rest }) => ({
      ...rest,
      seq: Number(seq),
      at: at.toISOString(),
    }));
    return { status: 200, body: { items }, nextCursor: page.nextCursor };
  }),
];
