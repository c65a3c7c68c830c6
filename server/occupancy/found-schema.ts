import { z } from 'zod';
import { boatName } from '../boats/schema.ts';
import { id, instant, line } from '../http/fields.ts';
import { findingSchema } from '../http/finding-schema.ts';
import { inventoryId } from '../inventory/schema.ts';
import { displacedSchema } from './displaced-schema.ts';

const metre = z.number().min(0).max(10_000);
const lengthM = z.number().positive().max(1_000);
const orientation = z.enum(['bowIn', 'sternIn']);

const knownBoat = z.strictObject({ boatId: id });
const strangeBoat = z.strictObject({
  name: boatName,
  lengthOverallM: lengthM.exactOptional(),
  beamM: lengthM.exactOptional(),
  hull: z.enum(['monohull', 'multihull']).exactOptional(),
});

export const foundInputSchema = z
  .strictObject({
    berthId: inventoryId,
    fromM: metre.nullable().default(null).describe('Metre range taken on a face; null: all of the berth.'),
    untilM: metre.nullable().default(null),
    orientation: orientation.exactOptional().describe('Left out: the first that the berth takes.'),
    boat: z
      .union([knownBoat, strangeBoat])
      .exactOptional()
      .describe('A boat of the marina, or what can be seen of a strange one. Left out: that of the stay.'),
    stayId: id.exactOptional().describe('Left out: the stay that the boat has now, or a new one.'),
    contactName: line(100).exactOptional().describe('For a new stay.'),
    at: instant.describe('Since when it lies there, or when it was found: at most 31 days back, one ahead.'),
    until: instant
      .exactOptional()
      .describe("When it is expected to leave. Left out: the stay's departure, or the next usual hour of departure."),
    outletIds: z
      .array(inventoryId)
      .max(8)
      .exactOptional()
      .describe('Outlets that it is plugged into; empty: none. Left out: nobody has looked.'),
  })
  .refine(({ boat, stayId }) => boat !== undefined || stayId !== undefined, {
    path: ['boat'],
    message: 'Say which boat lies there: boat, stayId or both.',
  })
  .refine(({ boat, stayId }) => boat === undefined || stayId === undefined || 'boatId' in boat, {
    path: ['boat'],
    message: 'A stay has its boat already. Leave boat out, or give its boatId.',
  });
export type FoundInput = z.output<typeof foundInputSchema>;

export const foundSchema = z
  .strictObject({
    stayId: z.string(),
    boatId: z.string(),
    assignment: z.strictObject({
      id: z.string(),
      berthId: z.string(),
      fromM: metre.nullable(),
      untilM: metre.nullable(),
      orientation,
      from: instant,
      until: instant,
      outletIds: z.array(z.string()),
      found: z.boolean().describe('False: the boat lies where it was assigned, and that assignment stands.'),
      verdict: z.enum(['refused', 'unconfirmed', 'cautioned', 'clear']),
      findings: z.array(findingSchema),
      version: z.int(),
    }),
    displaced: z.array(displacedSchema),
  })
  .meta({ id: 'Found', description: 'Where a boat was found, and which stays it displaces.' });
export type Found = z.output<typeof foundSchema>;
