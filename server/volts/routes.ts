import { z } from 'zod';
import { everyRole } from '../http/access.ts';
import { instant, marinaParams } from '../http/fields.ts';
import { defineRoute, type RouteDefinition } from '../http/route.ts';
import { readVolts } from './read-volts.ts';
import { voltsSchema } from './schema.ts';

export const routes: RouteDefinition[] = [
  defineRoute({
    method: 'GET',
    url: '/v1/marinas/:marinaId/volts',
    operationId: 'readVolts',
    summary: 'Show volts, amperes and losses of the whole marina at a moment',
    description:
      'Outlets in use then, residents included, solved as one unbalanced network with its neutral: volts at every part, ' +
      'pedestal and outlet, amperes of each line, neutral and winding. What lacks a conductor datum is not assessed. The ' +
      'answer names every load and says which were assumed.',
    tag: 'Demand',
    roles: everyRole,
    params: marinaParams,
    query: z.strictObject({
      at: instant.optional().describe('Left out: now.'),
      basis: z.enum(['rated', 'stated']).optional().describe('Left out: the basis by which the marina refuses a boat.'),
    }),
    response: { 200: voltsSchema },
  }).handle(async ({ params, query, now }, { db, inventories }) => {
    const { revision, index } = await inventories.inventoryOf(db.prisma, params.marinaId);
    const at = query.at === undefined ? now : Date.parse(query.at);
    const asked = { index, revision, at, basis: query.basis ?? null, now };
    return { status: 200, body: await readVolts(db.prisma, params.marinaId, asked) };
  }),
];
