import { z } from 'zod';
import { electricalCautions } from '../../core/cautions.ts';
import { editionIds } from '../../core/electrical/sizing/review/editions.ts';
import { reviewInventory } from '../../core/electrical/sizing/review/review.ts';
import { everyRole } from '../http/access.ts';
import { marinaParams } from '../http/fields.ts';
import { findingSchema } from '../http/finding-schema.ts';
import { defineRoute } from '../http/route.ts';

const reviewSchema = z
  .strictObject({
    inventoryRevision: z.int(),
    edition: z.enum(editionIds),
    editionName: z.string(),
    rules: z
      .array(z.strictObject({ name: z.string(), looksFor: z.string(), findings: z.array(findingSchema) }))
      .describe('Every rule of the edition, also where it found nothing.'),
    notAssessed: z.array(findingSchema).describe('The findings above where a missing fact decides.'),
    cautions: z.array(z.string()),
  })
  .meta({ id: 'InventoryReview' });

export const inventoryReview = defineRoute({
  method: 'GET',
  url: '/v1/marinas/:marinaId/inventory/review',
  operationId: 'reviewInventory',
  summary: 'Review pedestals and feeders against an edition of the code, clause by clause',
  description:
    'Each finding names its clause; one from memory says so. The edition adopted where the marina lies decides.',
  tag: 'Inventory',
  roles: everyRole,
  params: marinaParams,
  query: z.strictObject({ edition: z.enum(editionIds).default('2020').describe('`2020` stands for 2020 and later.') }),
  response: { 200: reviewSchema },
}).handle(async ({ params, query }, { db, inventories }) => {
  const { revision, index } = await inventories.inventoryOf(db.prisma, params.marinaId);
  const body = { inventoryRevision: revision, ...reviewInventory(index, query.edition), cautions: electricalCautions };
  return { status: 200, body };
});
