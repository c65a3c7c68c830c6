import { z } from 'zod';
import {
  connectionSchema,
  cordSchema,
  hookUpSchema,
  orientationSchema,
  placeSchema,
  tightestSchema,
  verdictSchema,
} from '../berth-options/schema.ts';
import type { Assignment } from '../db/generated/client.ts';
import { instant, line } from '../http/fields.ts';
import { findingSchema, findingsSchema } from '../http/finding-schema.ts';
import { inventoryId } from '../inventory/schema.ts';

const override = z
  .strictObject({ rule: z.string().min(1).max(100), reason: line(300) })
  .describe('A refusal that is not electrical, overridden by whoever sends this, with the reason.');

/** How a stay is to be placed; what is left out is chosen as the options rank it. */
export const placementSchema = z
  .strictObject({
    berthId: inventoryId,
    orientation: orientationSchema.nullable().default(null),
    place: placeSchema.nullable().default(null).describe('Metres of a face.'),
    hookUp: hookUpSchema.nullable().default(null).describe("An option's hook-up, or one of your own."),
    overrides: z.array(override).max(10).default([]),
  })
  .meta({ id: 'Placement' });

export type Placement = z.output<typeof placementSchema>;

/** What `assignment.hook_up` holds: the hook-up as it was judged. */
const storedPower = z.strictObject({
  connection: connectionSchema.nullable(),
  outletIds: z.array(z.string()),
  cords: z.array(cordSchema),
  tightest: tightestSchema.nullable(),
});

const { actual, limit, unit } = findingSchema.shape;
const overriddenFields = {
  rule: z.string(),
  reason: z.string(),
  by: z.string(),
  actual: actual.describe('The figure that was overridden, as it was judged.'),
  limit,
  unit,
};

export const assignmentSchema = z
  .strictObject({
    id: z.string(),
    stayId: z.string(),
    berthId: z.string(),
    place: placeSchema.nullable(),
    orientation: orientationSchema,
    from: instant,
    until: instant,
    occupiedUntil: instant.describe('Until when the space is kept: the turnover time after departure.'),
    found: z.boolean().describe('Entered because the boat lies there.'),
    power: storedPower.nullable().describe('As judged when it was assigned; null where nobody judged it.'),
    verdict: verdictSchema,
    findings: z.array(findingSchema),
    overrides: z.array(z.strictObject(overriddenFields)),
    rulesEdition: z.string(),
    inventoryRevision: z.int(),
    version: z.int(),
  })
  .meta({ id: 'Assignment', description: 'A stay, or part of it, placed on berth space with a hook-up.' });

/** Both stays where they go. */
export const swappedSchema = z.strictObject({ assignments: z.array(assignmentSchema) });

export type AssignmentDocument = z.output<typeof assignmentSchema>;

// The first edition kept the rule alone.
const storedOverrides = z.array(
  z.strictObject({
    ...overriddenFields,
    actual: actual.default(null),
    limit: limit.default(null),
    unit: unit.default(null),
  }),
);

/** A stored assignment as the API shows it: verdict, findings and hook-up as they were judged. */
export function assignmentDocument(row: Assignment): AssignmentDocument {
  return {
    id: row.id,
    stayId: row.stayId,
    berthId: row.berthId,
    place: row.faceFromM === null || row.faceUntilM === null ? null : { fromM: row.faceFromM, untilM: row.faceUntilM },
    orientation: orientationSchema.parse(row.orientation),
    from: row.fromAt.toISOString(),
    until: row.untilAt.toISOString(),
    occupiedUntil: row.occupiedUntil.toISOString(),
    found: row.found,
    power: row.hookUp === null ? null : storedPower.parse(row.hookUp),
    verdict: verdictSchema.parse(row.verdict),
    findings: findingsSchema.parse(row.findings),
    overrides: storedOverrides.parse(row.overrides),
    rulesEdition: row.rulesEdition,
    inventoryRevision: Number(row.inventoryRevision),
    version: row.version,
  };
}
