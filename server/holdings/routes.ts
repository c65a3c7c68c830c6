import { z } from 'zod';
import { everyRole, type Role } from '../http/access.ts';
import { id, instant, marinaParams } from '../http/fields.ts';
import { decodeCursor, pageOf, pageQuery } from '../http/page.ts';
import { defineRoute, noContent, type RouteDefinition } from '../http/route.ts';
import { inventoryId } from '../inventory/schema.ts';
import { changeHolding } from './change-holding.ts';
import { createHolding } from './create-holding.ts';
import { endHolding, withdrawHolding } from './end-holding.ts';
import {
  holdingChangeSchema,
  holdingDocument,
  holdingSchema,
  holdingsSchema,
  newHoldingSchema,
  withAbsences,
} from './schema.ts';
import { readHolding } from './stored-holding.ts';

const url = '/v1/marinas/:marinaId/holdings';
const tag = 'Holdings';
const planners: readonly Role[] = ['harbormaster', 'manager'];
const holdingParams = z.strictObject({ marinaId: id, holdingId: id });

export const routes: RouteDefinition[] = [
  defineRoute({
    method: 'GET',
    url,
    operationId: 'listHoldings',
    summary: 'List holdings with their absences',
    tag,
    roles: everyRole,
    params: marinaParams,
    query: z.strictObject({
      ...pageQuery,
      berthId: inventoryId.optional(),
      at: instant.optional().describe('Only those that run at this moment.'),
    }),
    response: { 200: holdingsSchema },
  }).handle(async ({ params, query }, { db }) => {
    const [after] = decodeCursor(query.cursor, z.tuple([id])) ?? [''];
    const rows = await db.prisma.holding.findMany({
      where: {
        marinaId: params.marinaId,
        id: { gt: after },
        ...(query.berthId === undefined ? {} : { berthId: query.berthId }),
        ...(query.at === undefined ? {} : { fromAt: { lte: new Date(query.at) }, untilAt: { gt: new Date(query.at) } }),
      },
      include: withAbsences,
      orderBy: { id: 'asc' },
      take: query.limit + 1,
    });
    const page = pageOf(rows, query.limit, (row) => [row.id]);
    return { status: 200, body: { items: page.items.map(holdingDocument) }, nextCursor: page.nextCursor };
  }),
  defineRoute({
    method: 'POST',
    url,
    operationId: 'createHolding',
    summary: 'Give a berth to a holder',
    description:
      'Keeps transients out except in released absences. Refused over what a transient or another holder already has; the findings name them.',
    tag,
    roles: planners,
    params: marinaParams,
    body: newHoldingSchema,
    example: {
      berthId: 'A1',
      holderName: 'R. Calloway',
      from: '2030-04-01T00:00:00-05:00',
      until: null,
      outlets: [{ outletId: 'A1A', loadVa: 1800, loadOrigin: 'measured' }],
    },
    idempotent: true,
    response: { 201: holdingSchema },
    problems: ['double-use'],
  }).handle(async ({ principal, body, now, idempotency }, services) => {
    const created = await createHolding(services, { principal, idempotency, now, input: body });
    const location = `/v1/marinas/${principal.marinaId}/holdings/${created.id}`;
    return { status: 201, body: created, version: created.version, location };
  }),
  defineRoute({
    method: 'GET',
    url: `${url}/:holdingId`,
    operationId: 'readHolding',
    summary: 'Read a holding',
    tag,
    roles: everyRole,
    params: holdingParams,
    response: { 200: holdingSchema },
  }).handle(async ({ params }, { db }) => {
    const holding = holdingDocument(await readHolding(db.prisma, params.marinaId, params.holdingId));
    return { status: 200, body: holding, version: holding.version };
  }),
  defineRoute({
    method: 'PATCH',
    url: `${url}/:holdingId`,
    operationId: 'changeHolding',
    summary: 'Change dates, holder, boat or outlets of a holding',
    tag,
    roles: planners,
    params: holdingParams,
    body: holdingChangeSchema,
    example: { until: '2031-04-01T00:00:00-05:00' },
    ifMatch: true,
    response: { 200: holdingSchema },
    problems: ['double-use', 'wrong-state'],
  }).handle(async ({ principal, params, body, ifVersion, now }, services) => {
    const input = { holdingId: params.holdingId, change: body };
    const holding = await changeHolding(services, { principal, ifVersion, now, input });
    return { status: 200, body: holding, version: holding.version };
  }),
  defineRoute({
    method: 'POST',
    url: `${url}/:holdingId/end`,
    operationId: 'endHolding',
    summary: 'End a holding early',
    description: 'Absences end with it; transients who have the berth in an absence keep it.',
    tag,
    roles: planners,
    params: holdingParams,
    body: z.strictObject({ at: instant }),
    example: { at: '2030-10-31T12:00:00-05:00' },
    ifMatch: true,
    response: { 200: holdingSchema },
  }).handle(async ({ principal, params, body, ifVersion, now }, services) => {
    const input = { holdingId: params.holdingId, at: body.at };
    const holding = await endHolding(services, { principal, ifVersion, now, input });
    return { status: 200, body: holding, version: holding.version };
  }),
  defineRoute({
    method: 'DELETE',
    url: `${url}/:holdingId`,
    operationId: 'withdrawHolding',
    summary: 'Take back a holding that has not begun',
    tag,
    roles: planners,
    params: holdingParams,
    response: { 204: noContent },
    problems: ['wrong-state'],
  }).handle(async ({ principal, params, now }, services) => {
    await withdrawHolding(services, { principal, now, input: { holdingId: params.holdingId } });
    return { status: 204, body: undefined };
  }),
];
