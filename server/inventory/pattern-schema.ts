import { z } from 'zod';
import type { InventoryDocument } from '../../core/inventory/patterns.ts';
import {
  amperes,
  anyMetres,
  conductorSchema,
  fingerOn,
  groundFaultSchema,
  inventoryId,
  inventorySchema,
  label,
  lineName,
  metres,
  mooring,
  orientations,
  unknownUnless,
} from './schema.ts';

const naming = {
  id: z
    .string()
    .max(64)
    .regex(/^[A-Za-z0-9{][A-Za-z0-9._~{}-]*$/, 'Use letters, digits, ".", "_", "~", "-" and placeholders.')
    .describe('Template of the ids: {p} pedestal, {n} running number, {k} and {a} place at the pedestal.'),
  label,
};
const wholeNumber = z.number().int().min(0).max(1_000_000);

const patternSchema = z
  .strictObject({
    dockId: inventoryId,
    count: wholeNumber.describe('Pedestals to make.'),
    firstNumber: wholeNumber.default(1),
    firstAlongM: metres,
    spacingM: metres,
    fedById: inventoryId,
    pedestal: z.strictObject(naming),
    branchCircuit: unknownUnless(
      z.strictObject({
        ...naming,
        breakerA: unknownUnless(amperes),
        conductorAmpacityA: unknownUnless(amperes),
        neutralAmpacityA: unknownUnless(amperes),
        conductor: unknownUnless(conductorSchema),
        groundFault: groundFaultSchema,
      }),
    ),
    outlets: z
      .array(
        z.strictObject({
          ...naming,
          count: wholeNumber,
          configurationId: z.string().min(1).max(64),
          lineTurns: unknownUnless(z.array(z.array(lineName).min(1).max(3)).max(100)),
          breakerA: unknownUnless(amperes),
          groundFault: groundFaultSchema,
          subMetered: z.boolean().default(false),
          heightM: unknownUnless(metres),
        }),
      )
      .max(26)
      .default([]),
    berths: z
      .array(
        z.strictObject({
          ...naming,
          lengthM: unknownUnless(metres),
          beamM: unknownUnless(metres),
          depthM: unknownUnless(anyMetres),
          mooring,
          fingerOn,
          orientations,
          reach: unknownUnless(
            z.strictObject({
              alongM: unknownUnless(anyMetres),
              acrossM: unknownUnless(anyMetres),
              detourM: metres.default(0),
            }),
          ),
        }),
      )
      .max(26)
      .default([]),
    firstBerthNumber: wholeNumber.default(1),
  })
  .meta({
    id: 'PedestalPattern',
    description: 'A row of like pedestals along one dock, written out as plain items when the document is taken.',
  });

/** A whole marina as one document, as `PUT` takes it: plain items, and patterns that stand for many. */
export const documentSchema = z
  .strictObject({ ...inventorySchema.shape, patterns: z.array(patternSchema).max(200).default([]) })
  .meta({ id: 'InventoryDocument' });

// Fails to compile when core's document and the schema part.
export const toDocument = (document: z.output<typeof documentSchema>): InventoryDocument => document;
