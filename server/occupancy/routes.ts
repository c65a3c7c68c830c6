import { z } from 'zod';
import { rehouse, rehousedSchema } from '../berth-options/rehouse.ts';
import { everyRole } from '../http/access.ts';
import { marinaParams } from '../http/fields.ts';
import { defineRoute, type RouteDefinition } from '../http/route.ts';
import { inventoryId } from '../inventory/schema.ts';
import { foundInputSchema, foundSchema } from './found-schema.ts';
import { listOccupancy } from './list-occupancy.ts';
import { occupancySchema } from './occupancy-schema.ts';
import { periodOf, periodQuery } from './period-query.ts';
import { recordFound } from './record-found.ts';

const tag = 'Occupancy';
const mostDays = 31;

const foundAnswer = z.strictObject({ ...foundSchema.shape, displaced: z.array(rehousedSchema) });

export const routes: RouteDefinition[] = [
  defineRoute({
    method: 'GET',
    url: '/v1/marinas/:marinaId/occupancy',
    operationId: 'listOccupancy',
    summary: 'Show who is on which berth space and outlet',
    description: `Boats, holders and closings in the order of the inventory, at a moment or over at most ${mostDays} days.`,
    tag,
    roles: everyRole,
    params: marinaParams,
    query: periodQuery.safeExtend({ dockId: inventoryId.optional().describe('Of this dock alone.') }),
    response: { 200: occupancySchema },
  }).handle(async ({ params, query, now }, { db, inventories }) => {
    const period = periodOf(query, now, mostDays);
    const { index } = await inventories.inventoryOf(db.prisma, params.marinaId);
    const asked = { period, dockId: query.dockId ?? null, now };
    const list = await listOccupancy(db, params.marinaId, index, asked);
    const { from, until } = period;
    return {
      status: 200,
      body: { from: new Date(from).toISOString(), until: new Date(until).toISOString(), ...list },
    };
  }),
  defineRoute({
    method: 'POST',
    url: '/v1/marinas/:marinaId/occupancy-found',
    operationId: 'recordFound',
    summary: 'Enter a boat where it was found',
    description:
      'Never refused because of who else has the place: transients in the way are displaced, listed, and marked as needing a berth; holders and closings give way while the boat lies there.',
    tag,
    roles: ['harbormaster', 'dockhand'],
    params: marinaParams,
    body: foundInputSchema,
    example: {
      berthId: 'A1',
      boat: { name: 'Grey Petrel', lengthOverallM: 9.4 },
      at: '2030-06-10T07:10:00-05:00',
      outletIds: ['A1A'],
    },
    idempotent: true,
    response: { 200: foundAnswer },
  }).handle(async ({ principal, body, now, idempotency }, services) => {
    const found = await recordFound(services, { principal, idempotency, now, input: body });
    const displaced = await rehouse(services, principal.marinaId, found.displaced, now);
    return { status: 200, body: { ...found, displaced } };
  }),
];
