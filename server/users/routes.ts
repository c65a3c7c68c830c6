import { z } from 'zod';
import { id, marinaParams } from '../http/fields.ts';
import { decodeCursor, pageOf, pageQuery } from '../http/page.ts';
import { defineRoute, noContent, type RouteDefinition } from '../http/route.ts';
import { closeUser, setPassword } from './change-user.ts';
import { createUser } from './create-user.ts';
import { newUserSchema, password, userDocument, userSchema, usersSchema } from './user-document.ts';

const url = '/v1/marinas/:marinaId/users';
const tag = 'Users';
const userParams = z.strictObject({ marinaId: id, userId: id });

export const routes: RouteDefinition[] = [
  defineRoute({
    method: 'GET',
    url,
    operationId: 'listUsers',
    summary: 'List the people who sign in to the pages',
    tag,
    roles: ['manager'],
    params: marinaParams,
    query: z.strictObject(pageQuery),
    response: { 200: usersSchema },
  }).handle(async ({ params, query }, { db }) => {
    const [after] = decodeCursor(query.cursor, z.tuple([id])) ?? [''];
    const rows = await db.prisma.userAccount.findMany({
      where: { marinaId: params.marinaId, id: { gt: after } },
      orderBy: { id: 'asc' },
      take: query.limit + 1,
    });
    const page = pageOf(rows, query.limit, (row) => [row.id]);
    return { status: 200, body: { items: page.items.map(userDocument) }, nextCursor: page.nextCursor };
  }),
  defineRoute({
    method: 'POST',
    url,
    operationId: 'createUser',
    summary: 'Let a person sign in to the pages',
    tag,
    roles: ['manager'],
    params: marinaParams,
    body: newUserSchema,
    example: { login: 'dana', name: 'Dana Whitlock', role: 'dockhand', password: 'ladder cleat fender rope' },
    response: { 201: userSchema },
    problems: ['already-exists'],
  }).handle(async ({ principal, body, now }, { db }) => {
    const user = await createUser(db, { principal, now, input: body });
    return { status: 201, body: user, location: `/v1/marinas/${principal.marinaId}/users/${user.id}` };
  }),
  defineRoute({
    method: 'PUT',
    url: `${url}/:userId/password`,
    operationId: 'setUserPassword',
    summary: 'Give a user a new password',
    description: 'Signs every browser of that person out.',
    tag,
    roles: ['manager'],
    params: userParams,
    body: z.strictObject({ password }),
    example: { password: 'ladder cleat fender rope' },
    response: { 204: noContent },
    problems: ['wrong-state'],
  }).handle(async ({ principal, params, body, now }, { db }) => {
    await setPassword(db, { principal, now, userId: params.userId, password: body.password });
    return { status: 204, body: undefined };
  }),
  defineRoute({
    method: 'DELETE',
    url: `${url}/:userId`,
    operationId: 'closeUser',
    summary: 'Close a user, and sign every browser of that person out',
    tag,
    roles: ['manager'],
    params: userParams,
    response: { 204: noContent },
    problems: ['wrong-state'],
  }).handle(async ({ principal, params, now }, { db }) => {
    await closeUser(db, { principal, now, userId: params.userId });
    return { status: 204, body: undefined };
  }),
];
