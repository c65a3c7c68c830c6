import { z } from 'zod';
import { everyRole } from '../http/access.ts';
import { instant, marinaParams } from '../http/fields.ts';
import { decodeCursor, pageOf, pageQuery } from '../http/page.ts';
import { defineRoute, type RouteDefinition } from '../http/route.ts';
import { undoChange } from './undo-change.ts';

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
  defineRoute({
    method: 'POST',
    url: '/v1/marinas/:marinaId/changes/:seq/undo',
    operationId: 'undoChange',
    summary: 'Undo a change while nothing later stands on it',
    description:
      'Everything that the change wrote is as it was before; berths that come back are judged again. Undoing the undo does the change again. 409 names the later changes that stand on it, or the rules that refuse.',
    tag: 'Changes',
    roles: ['harbormaster'],
    params: z.strictObject({
      ...marinaParams.shape,
      seq: z.coerce
        .number()
        .int()
        .min(1)
        .max(2 ** 31 - 1),
    }),
    idempotent: true,
    response: {
      200: z
        .strictObject({
          undone: z.int(),
          kind: z.string().describe('Of the change that was undone.'),
          seq: z.int().describe('Number of the undo itself.'),
        })
        .meta({ id: 'Undone' }),
    },
    problems: ['in-use', 'refused', 'double-use', 'wrong-state'],
  }).handle(async ({ principal, params, idempotency, now }, services) => ({
    status: 200,
    body: await undoChange(services, { principal, idempotency, now, seq: params.seq }),
  })),
];
