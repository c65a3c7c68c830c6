import { z } from 'zod';
import { electricalCautions } from '../../core/cautions.ts';
import { sizeConductor } from '../../core/electrical/sizing/size-conductor.ts';
import { findingSchema } from '../http/finding-schema.ts';
import { definePublicRoute } from '../http/route.ts';
import { unknownUnless } from '../inventory/schema.ts';

const amperes = z.number().min(0).max(100_000);
const sizeUnit = z.enum(['AWG', 'kcmil', 'mm2']);
const sets = z.number().int().min(1).max(12);

const inputSchema = z
  .strictObject({
    loadA: amperes.describe('Demand in each line conductor.'),
    continuousA: amperes.default(0).describe('Part of it that runs for three hours or more; 0 for a table demand.'),
    neutralA: amperes.nullable().default(null).describe('Most in the neutral. Null: sized as the lines. 0: none.'),
    voltageV: z
      .number()
      .min(0)
      .max(1_000)
      .describe('Single-phase: between both conductors. Three-phase: line to line.'),
    phases: z.union([z.literal(1), z.literal(3)]).default(1),
    powerFactor: z.number().min(0).max(1).default(0.9).describe('Lagging.'),
    lengthM: unknownUnless(z.number().min(0).max(100_000)).describe('One way.'),
    material: z.enum(['copper', 'aluminium']),
    wiring: z
      .enum(['raceway', 'cord'])
      .default('raceway')
      .describe('`cord`: a flexible one, of copper and at 60 C, with an ampacity table of its own.'),
    conduit: z.enum(['pvc', 'aluminium', 'steel']).default('pvc'),
    insulationC: z.union([z.literal(60), z.literal(75), z.literal(90)]).default(75),
    terminalsC: unknownUnless(z.union([z.literal(60), z.literal(75)])).describe('Null is unknown and counts as 60.'),
    ambientC: unknownUnless(z.number().min(-60).max(120)).describe('Null is unknown and counts as 30.'),
    currentCarrying: unknownUnless(z.number().int().min(1).max(1_000)).describe(
      'Current-carrying conductors in one raceway or cable. Null is unknown and counts as three.',
    ),
    conductorC: z.number().min(-50).max(250).default(75).describe('Of the loaded conductor, for volts lost.'),
    maxDropPercent: z.number().positive().max(100).nullable().default(null).describe('Null: no limit, advice only.'),
    mostParallelSets: sets.default(4),
    given: z
      .strictObject({
        size: z.string().min(1).max(10).describe('`12`, `4/0`, `250`.'),
        sizeUnit,
        parallelSets: sets.default(1),
        deviceA: amperes
          .nullable()
          .default(null)
          .describe('Its breaker; null: the smallest standard one for the load.'),
      })
      .nullable()
      .default(null)
      .describe('A conductor to judge; null: the smallest that serves is chosen.'),
  })
  .meta({ id: 'ConductorSizingCalculation', description: 'Null is unknown, and never judged as fine.' });

const size = { size: z.string(), sizeUnit, parallelSets: z.int() };

const resultSchema = z
  .strictObject({
    status: z.enum(['fits', 'doesNotFit', 'notAssessed']).describe('`notAssessed`: a missing fact decides.'),
    requiredA: z.number().nullable().describe('Load with its continuous part at 125 %.'),
    deviceA: z.number().nullable(),
    conductor: z
      .strictObject({
        ...size,
        tableA: z.number(),
        temperatureFactor: z.number(),
        countFactor: z.number(),
        correctedA: z.number(),
        terminalsA: z.number(),
        usableA: z.number().describe('The smaller of both; amperes are of all sets together.'),
        largestDeviceA: z.number(),
        drop: z
          .strictObject({
            exactV: z.number().describe('By phasors, Chapter 9 Table 9.'),
            exactPercent: z.number(),
            resistiveV: z.number().describe('2 I R L (three-phase: root 3), Chapter 9 Table 8, stranded.'),
          })
          .nullable(),
      })
      .nullable(),
    byAmpacityAlone: z.strictObject(size).nullable().describe('The smallest if volts did not matter.'),
    neutral: z.strictObject({ ...size, usableA: z.number() }).nullable(),
    grounding: z
      .strictObject(size)
      .nullable()
      .describe('Equipment grounding conductor; null beyond its table, and in a flexible cord.'),
    notSized: z.array(z.string()).describe('What this calculation does not look at.'),
    findings: z.array(findingSchema),
    cautions: z.array(z.string()),
  })
  .meta({ id: 'ConductorSizingResult' });

const notSized = [
  'Conduit fill, short-circuit ratings and the breaking capacity of devices.',
  'Volts lost above this circuit: along a pier the drops of the segments add up.',
];

export const conductorSizing = definePublicRoute({
  method: 'POST',
  url: '/v1/calculations/conductor-sizing',
  operationId: 'calculateConductorSizing',
  summary: 'Size conductor and breaker for a load over a length, or judge given ones',
  description:
    'Stores nothing. The example judges a published one (eecalcs, VoltDropTest): 12 AWG copper in PVC conduit, 100 ft, ' +
    '20 A at 120 V and power factor 0.9 loses 7.246 V.',
  tag: 'Calculations',
  body: inputSchema,
  example: {
    loadA: 20,
    voltageV: 120,
    powerFactor: 0.9,
    lengthM: 30.48,
    material: 'copper',
    terminalsC: 75,
    ambientC: 30,
    currentCarrying: 2,
    given: { size: '12', sizeUnit: 'AWG' },
  },
  response: { 200: resultSchema },
}).handle(async ({ body }) => {
  const result = sizeConductor({ ...body, subject: { kind: 'equipment', id: 'circuit', label: 'the circuit' } });
  return { status: 200, body: { ...result, notSized, cautions: electricalCautions } };
});
