import { z } from 'zod';
import { id, marinaParams } from '../http/fields.ts';
import { decodeCursor, pageOf, pageQuery } from '../http/page.ts';
import { defineRoute, noContent, type RouteDefinition } from '../http/route.ts';
import { createToken } from './create-token.ts';
import { revokeToken } from './revoke-token.ts';
import { newTokenSchema, tokenDocument, tokenFields, tokensSchema } from './token-document.ts';

const url = '/v1/marinas/:marinaId/tokens';
const tag = 'Tokens';

export const routes: RouteDefinition[] = [
  defineRoute({
    method: 'GET',
    url,
    operationId: 'listTokens',
    summary: 'List the tokens of the marina',
    tag,
    roles: ['manager'],
    params: marinaParams,
    query: z.strictObject(pageQuery),
    response: { 200: tokensSchema },
  }).handle(async ({ params, query }, { db }) => {
    const [after] = decodeCursor(query.cursor, z.tuple([id])) ?? [''];
    const rows = await db.prisma.token.findMany({
      where: { marinaId: params.marinaId, id: { gt: after } },
      orderBy: { id: 'asc' },
      take: query.limit + 1,
    });
    const page = pageOf(rows, query.limit, (row) => [row.id]);
    return { status: 200, body: { items: page.items.map(tokenDocument) }, nextCursor: page.nextCursor };
  }),
  defineRoute({
    method: 'POST',
    url,
    operationId: 'createToken',
    summary: 'Create a token',
    description: 'The token itself is shown in this answer and never again.',
    tag,
    roles: ['manager'],
    params: marinaParams,
    body: z.strictObject(tokenFields),
    example: { name: 'Phone of the east dock', role: 'dockhand' },
    response: { 201: newTokenSchema },
  }).handle(async ({ principal, body, now }, { db }) => {
    const created = await createToken(db, { principal, now, input: body });
    return { status: 201, body: created, location: `/v1/marinas/${principal.marinaId}/tokens/${created.id}` };
  }),
  defineRoute({
    method: 'DELETE',
    url: `${url}/:tokenId`,
    operationId: 'revokeToken',
    summary: 'Revoke a token',
    tag,
    roles: ['manager'],
    params: z.strictObject({ marinaId: id, tokenId: id }),
    response: { 204: noContent },
    problems: ['wrong-state'],
  }).handle(async ({ principal, params, now }, { db }) => {
    await revokeToken(db, { principal, now, input: { tokenId: params.tokenId } });
    return { status: 204, body: undefined };
  }),
];
