import { z } from 'zod';
import { electricalCautions } from '../../core/cautions.ts';
import { sizeIecConductor } from '../../core/electrical/sizing/iec/size-iec-conductor.ts';
import { findingSchema } from '../http/finding-schema.ts';
import { definePublicRoute } from '../http/route.ts';
import { unknownUnless } from '../inventory/schema.ts';

const amperes = z.number().min(0).max(100_000);
const areaMm2 = z.number().positive().max(1_000);

const inputSchema = z
  .strictObject({
    loadA: amperes.describe('Design current in each line.'),
    voltageV: z.number().min(0).max(1_000).describe('Single-phase: line to neutral. Three-phase: line to line.'),
    phases: z.union([z.literal(1), z.literal(3)]).default(1),
    powerFactor: z.number().min(0).max(1).default(0.9).describe('Lagging.'),
    lengthM: unknownUnless(z.number().min(0).max(100_000)).describe('One way.'),
    ambientC: unknownUnless(z.number().min(-60).max(120)).describe('Null is unknown and counts as 30.'),
    circuits: unknownUnless(z.number().int().min(1).max(1_000)).describe(
      'Circuits bunched together, this one among them. Null is unknown and counts as one.',
    ),
    maxDropPercent: z.number().positive().max(100).nullable().default(null).describe('Null: no limit, advice only.'),
    given: z
      .strictObject({
        areaMm2,
        deviceA: amperes.nullable().default(null).describe('Null: the smallest standard one for the load.'),
      })
      .nullable()
      .default(null)
      .describe('A conductor to judge; null: the smallest that serves is chosen.'),
  })
  .meta({ id: 'IecConductorSizingCalculation', description: 'Null is unknown, and never judged as fine.' });

const resultSchema = z
  .strictObject({
    status: z.enum(['fits', 'doesNotFit', 'notAssessed']).describe('`notAssessed`: a missing fact decides.'),
    deviceA: z.number().nullable(),
    conductor: z
      .strictObject({
        areaMm2: z.number(),
        tableA: z.number(),
        temperatureFactor: z.number(),
        groupingFactor: z.number(),
        correctedA: z.number(),
        dropV: z.number().nullable().describe('By phasors, at 70 C.'),
        dropPercent: z.number().nullable(),
      })
      .nullable(),
    byAmpacityAloneMm2: z.number().nullable(),
    protectiveMm2: z.number().nullable(),
    findings: z.array(findingSchema),
    cautions: z.array(z.string()),
  })
  .meta({ id: 'IecConductorSizingResult' });

export const iecConductorSizing = definePublicRoute({
  method: 'POST',
  url: '/v1/calculations/conductor-sizing-iec',
  operationId: 'calculateIecConductorSizing',
  summary: 'Size a conductor in mm2, its device and its protective conductor by the IEC practice',
  description:
    'Stores nothing. Copper in PVC, in conduit (method B1); tables from memory, to be compared with the adopted edition. ' +
    'The example: 2.5 mm2 at 16 A over 25 m loses about 7.1 V of 230 V.',
  tag: 'Calculations',
  body: inputSchema,
  example: {
    loadA: 16,
    voltageV: 230,
    powerFactor: 1,
    lengthM: 25,
    ambientC: 30,
    circuits: 1,
    given: { areaMm2: 2.5, deviceA: 16 },
  },
  response: { 200: resultSchema },
}).handle(async ({ body }) => {
  const result = sizeIecConductor({ ...body, subject: { kind: 'equipment', id: 'circuit', label: 'the circuit' } });
  return { status: 200, body: { ...result, cautions: electricalCautions } };
});
