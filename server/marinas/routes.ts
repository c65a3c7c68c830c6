import { z } from 'zod';
import { Problem } from '../errors.ts';
import { everyRole } from '../http/access.ts';
import { marinaParams } from '../http/fields.ts';
import { defineRoute, type RouteDefinition } from '../http/route.ts';

const count = z.int();

const marinaSchema = z
  .strictObject({
    id: z.string(),
    name: z.string(),
    timeZone: z.string().describe('IANA name.'),
    inventoryRevision: z.int(),
    seq: z.int().describe('Number of the last change.'),
    counts: z.strictObject({
      practices: count,
      adapterKinds: count,
      docks: count,
      equipment: count,
      pedestals: count,
      outlets: count,
      spaceUnits: count,
      berths: count,
      adapterStock: count,
    }),
  })
  .meta({ id: 'Marina' });

export const routes: RouteDefinition[] = [
  defineRoute({
    method: 'GET',
    url: '/v1/marinas/:marinaId',
    operationId: 'readMarina',
    summary: 'Read the marina: its name, its clock and how much it has',
    description: 'The ETag is seq: any change in the marina is a new version.',
    tag: 'Marina',
    roles: everyRole,
    params: marinaParams,
    response: { 200: marinaSchema },
  }).handle(async ({ params }, { db, inventories }) => {
    const row = await db.prisma.marina.findUnique({ where: { id: params.marinaId }, select: { seq: true } });
    if (row === null) throw new Problem('not-found', 'There is no such marina.');
    const { revision, index } = await inventories.inventoryOf(db.prisma, params.marinaId);
    const { inventory } = index;
    const seq = Number(row.seq);
    return {
      status: 200,
      body: {
        id: params.marinaId,
        name: inventory.name,
        timeZone: inventory.timeZone,
        inventoryRevision: revision,
        seq,
        counts: {
          practices: inventory.practices.length,
          adapterKinds: inventory.adapterKinds.length,
          docks: inventory.docks.length,
          equipment: inventory.equipment.length,
          pedestals: inventory.pedestals.length,
          outlets: inventory.outlets.length,
          spaceUnits: inventory.spaceUnits.length,
          berths: inventory.berths.length,
          adapterStock: inventory.adapterStock.length,
        },
      },
      version: seq,
    };
  }),
];
