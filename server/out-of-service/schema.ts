import { z } from 'zod';
import type { OutOfService } from '../db/generated/client.ts';
import { id, instant, line } from '../http/fields.ts';
import { findingSchema } from '../http/finding-schema.ts';
import { inventoryId } from '../inventory/schema.ts';
import { displacedSchema } from '../occupancy/displaced-schema.ts';
import { untilToApi } from '../occupancy/open-period.ts';

const metre = z.number().min(0).max(10_000);
const until = instant.nullable().describe('null: until further notice.');

export const newOutOfServiceSchema = z
  .strictObject({
    outletId: inventoryId.nullable().default(null),
    unitId: inventoryId.nullable().default(null),
    fromM: metre.nullable().default(null).describe('Metres of a face; null: all of the unit.'),
    untilM: metre.nullable().default(null),
    from: instant,
    until: until.default(null),
    reason: line(200),
  })
  .refine(({ outletId, unitId }) => (outletId === null) !== (unitId === null), {
    path: ['outletId'],
    message: 'Name one outlet or one unit of space, not both.',
  })
  .refine(({ outletId, fromM, untilM }) => outletId === null || (fromM === null && untilM === null), {
    path: ['fromM'],
    message: 'An outlet has no metres. Leave fromM and untilM out.',
  });
export type NewOutOfService = z.output<typeof newOutOfServiceSchema>;

export const outOfServiceChangeSchema = z
  .strictObject({ until: until.exactOptional(), reason: line(200).exactOptional() })
  .refine((change) => Object.keys(change).length > 0, 'Name at least one field to change.');
export type OutOfServiceChange = z.output<typeof outOfServiceChangeSchema>;

export const outOfServiceSchema = z
  .strictObject({
    id,
    outletId: inventoryId.nullable(),
    unitId: inventoryId.nullable(),
    fromM: metre.nullable(),
    untilM: metre.nullable(),
    from: instant,
    until,
    reason: z.string(),
    version: z.int(),
  })
  .meta({ id: 'OutOfService', description: 'A period in which an outlet or a unit of space must not be used.' });

export type OutOfServiceDocument = z.output<typeof outOfServiceSchema>;

/** A change with what it does to boats. */
export const closedSchema = z.strictObject({
  outOfService: outOfServiceSchema,
  findings: z
    .array(findingSchema)
    .describe('Boats that lie there now and keep lying there; other closings of the same.'),
  displaced: z.array(displacedSchema),
});
export type Closed = z.output<typeof closedSchema>;

export function outOfServiceDocument(row: OutOfService): OutOfServiceDocument {
  return {
    id: row.id,
    outletId: row.outletId,
    unitId: row.unitId,
    fromM: row.fromM,
    untilM: row.untilM,
    from: row.fromAt.toISOString(),
    until: untilToApi(row.untilAt),
    reason: row.reason,
    version: row.version,
  };
}
