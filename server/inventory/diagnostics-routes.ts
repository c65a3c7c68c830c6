import { z } from 'zod';
import { electricalCautions } from '../../core/cautions.ts';
import { inventoryChecks } from '../../core/inventory/diagnose.ts';
import { everyRole } from '../http/access.ts';
import { marinaParams } from '../http/fields.ts';
import { findingSchema } from '../http/finding-schema.ts';
import { defineRoute, type RouteDefinition } from '../http/route.ts';
import { findLentBeyondStock, lentBeyondStockCheck } from './lent-beyond-stock.ts';

/** What no check looks at: silence about it means nothing. */
const neverAssessed = [
  'Short-circuit currents, the breaking capacity of devices, and whether devices trip in the right order.',
  'Ambient temperature, sun, bundling and other corrections of ampacities: the stated ampacity is taken as corrected.',
  'The state of fittings, cords, cables, bonding and cathodic protection: they are looked at and measured on the dock.',
  'Whether the inventory is what stands on the docks.',
];

export const diagnosticsSchema = z
  .strictObject({
    inventoryRevision: z.int(),
    checks: z
      .array(z.strictObject({ name: z.string(), looksFor: z.string(), findings: z.array(findingSchema) }))
      .describe('Every check, also where it found nothing.'),
    notAssessed: z
      .array(findingSchema)
      .describe('The findings above where a missing fact keeps something from being judged: it is never read as fine.'),
    neverAssessed: z.array(z.string()).describe('What no check looks at.'),
    cautions: z.array(z.string()),
  })
  .meta({ id: 'InventoryDiagnostics' });

export const diagnosticsRoutes: RouteDefinition[] = [
  defineRoute({
    method: 'GET',
    url: '/v1/marinas/:marinaId/inventory/diagnostics',
    operationId: 'diagnoseInventory',
    summary: 'Say what in the inventory is legal but doubtful, check by check',
    tag: 'Inventory',
    roles: everyRole,
    params: marinaParams,
    response: { 200: diagnosticsSchema },
  }).handle(async ({ params, now }, { db, inventories }) => {
    const { revision, index } = await inventories.inventoryOf(db.prisma, params.marinaId);
    const ofStock = await findLentBeyondStock(db.prisma, params.marinaId, index.inventory, now);
    const checks = [
      ...inventoryChecks.map(({ name, looksFor, check }) => ({ name, looksFor, findings: check(index) })),
      { ...lentBeyondStockCheck, findings: ofStock },
    ];
    const notAssessed = checks.flatMap(({ findings }) => findings.filter(({ level }) => level === 'confirm'));
    const body = { inventoryRevision: revision, checks, notAssessed, neverAssessed, cautions: electricalCautions };
    return { status: 200, body, version: revision, versionOfPart: true };
  }),
];
