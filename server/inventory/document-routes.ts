import { z } from 'zod';
import { validateInventory } from '../../core/inventory/validate.ts';
import { everyRole } from '../http/access.ts';
import { marinaParams } from '../http/fields.ts';
import { defineRoute, type RouteDefinition } from '../http/route.ts';
import { throwIfFaulty } from './change-item.ts';
import { writtenSchema, writtenToApi } from './difference.ts';
import { findLentBeyondStock } from './lent-beyond-stock.ts';
import { documentSchema, toDocument } from './pattern-schema.ts';
import { readDocument } from './read-document.ts';
import { inventorySchema, settingsSchema } from './schema.ts';
import { writeInventory } from './write-inventory.ts';

const tag = 'Inventory';
const url = '/v1/marinas/:marinaId/inventory';
const settingsUrl = '/v1/marinas/:marinaId/settings';

/** Room for a marina of some thousand berths, written out. */
const bodyLimit = 32 * 1024 * 1024;

export const documentRoutes: RouteDefinition[] = [
  defineRoute({
    method: 'GET',
    url,
    operationId: 'readInventory',
    summary: 'Read the whole inventory as one document',
    description: 'The ETag is its revision. Sent back unchanged, it changes nothing.',
    tag,
    roles: everyRole,
    params: marinaParams,
    response: { 200: inventorySchema },
  }).handle(async ({ params }, { db, inventories }) => {
    const { revision, index } = await inventories.inventoryOf(db.prisma, params.marinaId);
    return { status: 200, body: index.inventory, version: revision };
  }),
  defineRoute({
    method: 'PUT',
    url,
    operationId: 'putInventory',
    summary: 'Replace the whole inventory by a document',
    description:
      'All or nothing; every fault is named where it is written. What the document leaves out is retired, unless it is ' +
      'in use. Patterns are written out. Where nothing differs, the revision stays.',
    tag,
    roles: ['manager'],
    params: marinaParams,
    query: z.strictObject({
      dryRun: z.enum(['true', 'false']).default('false').describe('Only answer what would change.'),
    }),
    body: documentSchema,
    bodyLimit,
    ifMatch: true,
    example: exampleDocument(),
    response: { 200: writtenSchema },
    problems: ['faulty-document', 'in-use'],
  }).handle(async ({ principal, query, body, ifVersion, now }, services) => {
    const written = await writeInventory(services, {
      principal,
      ifVersion,
      now,
      input: {
        kind: 'inventory.put',
        change: () => readDocument(toDocument(body)),
        dryRun: query.dryRun === 'true',
      },
    });
    const { inventoryRevision, stored, after, difference } = written;
    const findings = await findLentBeyondStock(services.db.prisma, principal.marinaId, after, now);
    return {
      status: 200,
      body: writtenToApi(inventoryRevision, stored, difference, findings),
      version: inventoryRevision,
    };
  }),
  defineRoute({
    method: 'GET',
    url: settingsUrl,
    operationId: 'readSettings',
    summary: "Read the marina's settings",
    description: "The ETag is the revision of the marina's whole inventory.",
    tag,
    roles: everyRole,
    params: marinaParams,
    response: { 200: settingsSchema },
  }).handle(async ({ params }, { db, inventories }) => {
    const { revision, index } = await inventories.inventoryOf(db.prisma, params.marinaId);
    return { status: 200, body: index.inventory.settings, version: revision };
  }),
  defineRoute({
    method: 'PUT',
    url: settingsUrl,
    operationId: 'putSettings',
    summary: "Replace the marina's settings",
    description:
      'A field left out takes its usual value. Occupancy that is stored keeps the turnover time it was stored with.',
    tag,
    roles: ['manager'],
    params: marinaParams,
    body: settingsSchema,
    ifMatch: true,
    response: { 200: settingsSchema },
    problems: ['faulty-document'],
  }).handle(async ({ principal, body, ifVersion, now }, services) => {
    const written = await writeInventory(services, {
      principal,
      ifVersion,
      now,
      input: {
        kind: 'settings.put',
        change: (before) => {
          const after = { ...before, settings: body };
          throwIfFaulty(validateInventory(after), '/settings');
          return after;
        },
        dryRun: false,
      },
    });
    return { status: 200, body, version: written.inventoryRevision };
  }),
];

/** A small marina of one dock, its row of pedestals by a pattern. */
function exampleDocument(): z.input<typeof documentSchema> {
  return {
    name: 'Heron Cove',
    timeZone: 'America/Chicago',
    settings: {},
    docks: [{ id: 'A', label: 'A', kind: 'floating', lengthM: 80 }],
    equipment: [
      {
        id: 'service',
        label: 'Service',
        kind: 'service',
        systemId: '120/240-split-phase',
        breakerA: 400,
        earthing: 'groundedNeutral',
      },
      {
        id: 'feeder-A',
        label: 'Feeder A',
        kind: 'feeder',
        parentId: 'service',
        breakerA: 200,
        conductorAmpacityA: 200,
      },
    ],
    patterns: [
      {
        dockId: 'A',
        count: 10,
        firstAlongM: 4,
        spacingM: 7,
        fedById: 'feeder-A',
        pedestal: { id: 'A-p{n}', label: 'A{n}' },
        outlets: [
          {
            id: 'A-p{p}{a}',
            label: '{a}',
            count: 2,
            configurationId: 'L5-30',
            lineTurns: [['L1'], ['L2']],
            breakerA: 30,
          },
        ],
        berths: [
          {
            id: 'A-{n}',
            label: 'A{n}',
            lengthM: 12,
            beamM: 4.2,
            depthM: 2.4,
            mooring: 'fingerPier',
            reach: { alongM: 0.5, acrossM: 1.5 },
          },
        ],
      },
    ],
  };
}
