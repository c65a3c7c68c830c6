import { z } from 'zod';
import { rehouse, rehousedSchema } from '../berth-options/rehouse.ts';
import { everyRole, type Role } from '../http/access.ts';
import { id, instant, marinaParams } from '../http/fields.ts';
import { decodeCursor, pageOf, pageQuery } from '../http/page.ts';
import { defineRoute, noContent, type RouteDefinition } from '../http/route.ts';
import { inventoryId } from '../inventory/schema.ts';
import {
  closedSchema,
  newOutOfServiceSchema,
  outOfServiceChangeSchema,
  outOfServiceDocument,
  outOfServiceSchema,
} from './schema.ts';
import {
  changeOutOfService,
  endOutOfService,
  readOutOfService,
  startOutOfService,
  withdrawOutOfService,
} from './write.ts';

const url = '/v1/marinas/:marinaId/out-of-service';
const tag = 'Out of service';
const staff: readonly Role[] = ['harbormaster', 'dockhand', 'manager'];
const periodParams = z.strictObject({ marinaId: id, outOfServiceId: id });

const closedAnswer = z.strictObject({ ...closedSchema.shape, displaced: z.array(rehousedSchema) });

export const routes: RouteDefinition[] = [
  defineRoute({
    method: 'GET',
    url,
    operationId: 'listOutOfService',
    summary: 'List what is out of service',
    tag,
    roles: everyRole,
    params: marinaParams,
    query: z.strictObject({
      ...pageQuery,
      at: instant.optional().describe('Only what is out of service at this moment.'),
      outletId: inventoryId.optional(),
      unitId: inventoryId.optional(),
    }),
    response: { 200: z.strictObject({ items: z.array(outOfServiceSchema) }) },
  }).handle(async ({ params, query }, { db }) => {
    const [after] = decodeCursor(query.cursor, z.tuple([id])) ?? [''];
    const rows = await db.prisma.outOfService.findMany({
      where: {
        marinaId: params.marinaId,
        id: { gt: after },
        ...(query.outletId === undefined ? {} : { outletId: query.outletId }),
        ...(query.unitId === undefined ? {} : { unitId: query.unitId }),
        ...(query.at === undefined ? {} : { fromAt: { lte: new Date(query.at) }, untilAt: { gt: new Date(query.at) } }),
      },
      orderBy: { id: 'asc' },
      take: query.limit + 1,
    });
    const page = pageOf(rows, query.limit, (row) => [row.id]);
    return { status: 200, body: { items: page.items.map(outOfServiceDocument) }, nextCursor: page.nextCursor };
  }),
  defineRoute({
    method: 'POST',
    url,
    operationId: 'startOutOfService',
    summary: 'Take an outlet or a unit of space out of service',
    description:
      'Assignments in the way are displaced and listed. A boat that has arrived and lies there keeps lying: its place closes when it leaves. An outlet closes at once.',
    tag,
    roles: staff,
    params: marinaParams,
    body: newOutOfServiceSchema,
    example: { outletId: 'A1A', from: '2030-06-10T07:30:00-05:00', reason: 'scorched contacts' },
    idempotent: true,
    response: { 201: closedAnswer },
  }).handle(async ({ principal, body, now, idempotency }, services) => {
    const closed = await startOutOfService(services, { principal, now, idempotency, input: body });
    const { id: closedId, version } = closed.outOfService;
    return {
      status: 201,
      body: { ...closed, displaced: await rehouse(services, principal.marinaId, closed.displaced, now) },
      version,
      location: `/v1/marinas/${principal.marinaId}/out-of-service/${closedId}`,
    };
  }),
  defineRoute({
    method: 'GET',
    url: `${url}/:outOfServiceId`,
    operationId: 'readOutOfService',
    summary: 'Read an out-of-service period',
    tag,
    roles: everyRole,
    params: periodParams,
    response: { 200: outOfServiceSchema },
  }).handle(async ({ params }, { db }) => {
    const row = outOfServiceDocument(await readOutOfService(db.prisma, params.marinaId, params.outOfServiceId));
    return { status: 200, body: row, version: row.version };
  }),
  defineRoute({
    method: 'PATCH',
    url: `${url}/:outOfServiceId`,
    operationId: 'changeOutOfService',
    summary: 'Change the end or the reason of an out-of-service period',
    tag,
    roles: staff,
    params: periodParams,
    body: outOfServiceChangeSchema,
    example: { until: '2030-06-20T12:00:00-05:00' },
    ifMatch: true,
    response: { 200: closedAnswer },
  }).handle(async ({ principal, params, body, ifVersion, now }, services) => {
    const input = { outOfServiceId: params.outOfServiceId, change: body };
    const closed = await changeOutOfService(services, { principal, now, ifVersion, input });
    const displaced = await rehouse(services, principal.marinaId, closed.displaced, now);
    return { status: 200, body: { ...closed, displaced }, version: closed.outOfService.version };
  }),
  defineRoute({
    method: 'POST',
    url: `${url}/:outOfServiceId/end`,
    operationId: 'endOutOfService',
    summary: 'Put an outlet or a unit of space back into service',
    tag,
    roles: staff,
    params: periodParams,
    body: z.strictObject({ at: instant }),
    example: { at: '2030-06-12T16:00:00-05:00' },
    ifMatch: true,
    response: { 200: outOfServiceSchema },
  }).handle(async ({ principal, params, body, ifVersion, now }, services) => {
    const input = { outOfServiceId: params.outOfServiceId, at: body.at };
    const ended = await endOutOfService(services, { principal, now, ifVersion, input });
    return { status: 200, body: ended, version: ended.version };
  }),
  defineRoute({
    method: 'DELETE',
    url: `${url}/:outOfServiceId`,
    operationId: 'withdrawOutOfService',
    summary: 'Take back an out-of-service period that has not begun',
    tag,
    roles: staff,
    params: periodParams,
    response: { 204: noContent },
    problems: ['wrong-state'],
  }).handle(async ({ principal, params, now }, services) => {
    await withdrawOutOfService(services, { principal, now, input: { outOfServiceId: params.outOfServiceId } });
    return { status: 204, body: undefined };
  }),
];
