import { z } from 'zod';
import { Problem } from '../errors.ts';
import { everyRole } from '../http/access.ts';
import { id, marinaParams } from '../http/fields.ts';
import { decodeCursor, pageOf, pageQuery } from '../http/page.ts';
import { defineRoute, noContent, type RouteDefinition } from '../http/route.ts';
import { missing, withItem, withoutItem } from './change-item.ts';
import { type CollectionResource, collectionResources } from './collections.ts';
import { inventoryId } from './schema.ts';
import { writeInventory } from './write-inventory.ts';

const version =
  "The ETag is the revision of the marina's whole inventory: a change of any part of it is a new version.";
const place = z.tuple([inventoryId, z.int().min(0)]);

export const collectionRoutes: RouteDefinition[] = collectionResources.flatMap(routesOf);

function routesOf(resource: CollectionResource): RouteDefinition[] {
  const { collection, noun, nouns, singular, plural, schema, writers } = resource;
  const url = `/v1/marinas/:marinaId/${resource.path}`;
  const oneParams = z.strictObject({ marinaId: id, id: inventoryId });
  const tag = 'Inventory';
  return [
    defineRoute({
      method: 'GET',
      url,
      operationId: `list${plural}`,
      summary: `List the ${nouns}, in the order of the inventory`,
      description: version,
      tag,
      roles: everyRole,
      params: marinaParams,
      query: z.strictObject(pageQuery),
      response: { 200: z.strictObject({ items: z.array(schema) }) },
    }).handle(async ({ params, query }, { db, inventories }) => {
      const { revision, index } = await inventories.inventoryOf(db.prisma, params.marinaId);
      const all = index.inventory[collection].map((item, position) => ({ item, position }));
      const last = decodeCursor(query.cursor, place);
      // After the last item shown, wherever it stands now; where it stood, once it is gone.
      const known = all.findIndex(({ item }) => item.id === last?.[0]);
      const from = known >= 0 ? known + 1 : (last?.[1] ?? 0);
      const rows = all.slice(from, from + query.limit + 1);
      const page = pageOf(rows, query.limit, ({ item, position }) => [item.id, position]);
      const body = { items: page.items.map(({ item }) => item) };
      return { status: 200, body, version: revision, nextCursor: page.nextCursor };
    }),
    defineRoute({
      method: 'GET',
      url: `${url}/:id`,
      operationId: `read${singular}`,
      summary: `Read one ${noun}`,
      description: version,
      tag,
      roles: everyRole,
      params: oneParams,
      response: { 200: schema },
    }).handle(async ({ params }, { db, inventories }) => {
      const { revision, index } = await inventories.inventoryOf(db.prisma, params.marinaId);
      const item = index.inventory[collection].find((each) => each.id === params.id);
      if (item === undefined) throw missing(resource, params.id);
      return { status: 200, body: item, version: revision };
    }),
    defineRoute({
      method: 'PUT',
      url: `${url}/:id`,
      operationId: `put${singular}`,
      summary: `Create or replace one ${noun} under an id of your choice`,
      description: version,
      tag,
      roles: writers,
      params: oneParams,
      body: schema,
      ifMatch: true,
      response: { 200: schema, 201: schema },
      problems: ['faulty-document'],
    }).handle(async ({ principal, params, body, ifVersion, now }, services) => {
      requireSameId(params.id, body.id);
      const written = await writeInventory(services, {
        principal,
        ifVersion,
        now,
        input: { kind: `${collection}.put`, change: (before) => withItem(before, resource, body), dryRun: false },
      });
      const answer = { body, version: written.inventoryRevision };
      return written.difference.collections[collection].added.length > 0
        ? { status: 201, ...answer, location: `/v1/marinas/${params.marinaId}/${resource.path}/${params.id}` }
        : { status: 200, ...answer };
    }),
    defineRoute({
      method: 'DELETE',
      url: `${url}/:id`,
      operationId: `retire${singular}`,
      summary: `Retire one ${noun}`,
      description: `What was written about it stays. ${version}`,
      tag,
      roles: writers,
      params: oneParams,
      ifMatch: true,
      response: { 204: noContent },
      problems: ['in-use'],
    }).handle(async ({ principal, params, ifVersion, now }, services) => {
      const written = await writeInventory(services, {
        principal,
        ifVersion,
        now,
        input: {
          kind: `${collection}.retired`,
          change: (before) => withoutItem(before, resource, params.id),
          dryRun: false,
        },
      });
      return { status: 204, body: undefined, version: written.inventoryRevision };
    }),
  ];
}

function requireSameId(inPath: string, inBody: string): void {
  if (inPath === inBody) return;
  throw new Problem('invalid-input', `The path says "${inPath}", the body "${inBody}".`, {
    errors: [{ in: 'body', pointer: '/id', message: `Write "${inPath}", or use the path of "${inBody}".` }],
  });
}
