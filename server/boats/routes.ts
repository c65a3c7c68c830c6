import { z } from 'zod';
import { everyRole } from '../http/access.ts';
import { id, line, marinaParams } from '../http/fields.ts';
import { decodeCursor, pageOf, pageQuery } from '../http/page.ts';
import { defineRoute, noContent, type RouteDefinition } from '../http/route.ts';
import { changeBoatFacts, replaceBoat } from './change-boat.ts';
import { createBoat } from './create-boat.ts';
import { listBoats } from './list-boats.ts';
import { retireBoat } from './retire-boat.ts';
import { boatDocument, boatFactsChangeSchema, boatSchema, newBoatSchema } from './schema.ts';
import { readBoat } from './stored-boat.ts';

const url = '/v1/marinas/:marinaId/boats';
const tag = 'Boats';
const boatParams = z.strictObject({ marinaId: id, boatId: id });
const bySkipper = { origin: 'phone' } as const;

export const routes: RouteDefinition[] = [
  defineRoute({
    method: 'GET',
    url,
    operationId: 'listBoats',
    summary: 'List boats that are not retired, by name',
    tag,
    roles: everyRole,
    params: marinaParams,
    query: z.strictObject({
      ...pageQuery,
      name: line(80).optional().describe('Only boats whose name begins so, whether in capitals or not.'),
    }),
    response: { 200: z.strictObject({ items: z.array(boatSchema) }) },
  }).handle(async ({ params, query }, { db }) => {
    const [afterId] = decodeCursor(query.cursor, z.tuple([id])) ?? [null];
    const asked = { name: query.name ?? null, afterId, most: query.limit + 1 };
    const rows = await listBoats(db.prisma, params.marinaId, asked);
    const page = pageOf(rows, query.limit, (row) => [row.id]);
    return { status: 200, body: { items: page.items.map(boatDocument) }, nextCursor: page.nextCursor };
  }),
  defineRoute({
    method: 'POST',
    url,
    operationId: 'createBoat',
    summary: 'Enter a boat',
    description: 'Each fact carries who stated it and when. A call for a stay enters its boat by itself.',
    tag,
    roles: ['harbormaster'],
    params: marinaParams,
    body: newBoatSchema,
    idempotent: true,
    example: {
      name: 'Marigold',
      lengthOverallM: { value: 12.8, ...bySkipper },
      hull: { value: 'monohull', ...bySkipper },
      inlets: [{ id: 'I1', configurationIds: { value: ['SS1-50', 'SS2-50'], ...bySkipper } }],
    },
    response: { 201: boatSchema },
  }).handle(async ({ principal, body, now, idempotency }, services) => {
    const boat = await createBoat(services, { principal, idempotency, now, input: body });
    const location = `/v1/marinas/${principal.marinaId}/boats/${boat.id}`;
    return { status: 201, body: boat, version: boat.version, location };
  }),
  defineRoute({
    method: 'GET',
    url: `${url}/:boatId`,
    operationId: 'readBoat',
    summary: 'Read a boat with its facts',
    tag,
    roles: everyRole,
    params: boatParams,
    response: { 200: boatSchema },
  }).handle(async ({ params }, { db }) => {
    const boat = boatDocument(await readBoat(db.prisma, params.marinaId, params.boatId));
    return { status: 200, body: boat, version: boat.version };
  }),
  defineRoute({
    method: 'PUT',
    url: `${url}/:boatId`,
    operationId: 'replaceBoat',
    summary: 'Replace name and facts of a boat',
    description: 'A fact that is left out becomes unknown. What was assigned stays as it was judged.',
    tag,
    roles: ['harbormaster'],
    params: boatParams,
    body: newBoatSchema,
    ifMatch: true,
    response: { 200: boatSchema },
  }).handle(async ({ principal, params, body, ifVersion, now }, services) => {
    const boat = await replaceBoat(services, { principal, ifVersion, now, boatId: params.boatId, input: body });
    return { status: 200, body: boat, version: boat.version };
  }),
  defineRoute({
    method: 'PATCH',
    url: `${url}/:boatId/facts`,
    operationId: 'changeBoatFacts',
    summary: 'State single facts of a boat',
    description:
      'For whoever stands beside the boat: no ETag is needed and the last fact written stands. The list of changes keeps ' +
      'the one before.',
    tag,
    roles: ['harbormaster', 'dockhand'],
    params: boatParams,
    body: boatFactsChangeSchema,
    example: { inlets: [{ id: 'I1', configurationIds: { value: ['SS2-50'], origin: 'dockhand' } }] },
    response: { 200: boatSchema },
  }).handle(async ({ principal, params, body, ifVersion, now }, services) => {
    const boat = await changeBoatFacts(services, { principal, ifVersion, now, boatId: params.boatId, input: body });
    return { status: 200, body: boat, version: boat.version };
  }),
  defineRoute({
    method: 'DELETE',
    url: `${url}/:boatId`,
    operationId: 'retireBoat',
    summary: 'Retire a boat',
    tag,
    roles: ['harbormaster'],
    params: boatParams,
    response: { 204: noContent },
    problems: ['in-use', 'wrong-state'],
  }).handle(async ({ principal, params, now }, services) => {
    await retireBoat(services, { principal, now, boatId: params.boatId });
    return { status: 204, body: undefined };
  }),
];
