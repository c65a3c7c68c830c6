import { z } from 'zod';
import { legPlaces } from '../../core/boats.ts';
import { electricalCautions } from '../../core/cautions.ts';
import { legNames } from '../../core/electrical/boat-load/boat-load.ts';
import { calculateBoatLoad } from '../../core/electrical/boat-load/calculate-boat-load.ts';
import { classDefaultAppliances, classDefaultSource } from '../../core/electrical/boat-load/class-defaults.ts';
import { loadMethod, loadMethods } from '../../core/electrical/boat-load/load-method.ts';
import { citation } from '../../core/standards/source.ts';
import { Problem } from '../errors.ts';
import { line } from '../http/fields.ts';
import { findingSchema } from '../http/finding-schema.ts';
import { definePublicRoute } from '../http/route.ts';
import { inventoryId, unknownUnless } from '../inventory/schema.ts';

const va = z.number().min(0).max(1e7);
const volts = z.number().positive().max(1_000);
const amperes = z.number();

const inputSchema = z
  .strictObject({
    methodId: z.string().min(1).max(64).default('dwelling-550.18').describe('A built-in form.'),
    season: z
      .enum(['summer', 'winter', 'either'])
      .default('either')
      .describe('Heating and cooling do not run together. `either`: the larger on each leg.'),
    inlets: z
      .array(
        z.strictObject({
          id: inventoryId,
          lineToNeutralV: volts,
          lineToLineV: volts.nullable().default(null).describe('Null: one leg.'),
          threePhase: z.boolean().default(false).describe('Three lines of a wye; lineToLineV between any two.'),
          mainBreakerA: unknownUnless(z.number().positive().max(10_000)),
        }),
      )
      .min(1)
      .max(4),
    general: z
      .strictObject({
        livingAreaM2: unknownUnless(z.number().min(0).max(10_000)),
        applianceCircuits: unknownUnless(z.number().int().min(0).max(100)),
        laundryVa: va.default(0),
        rangeW: unknownUnless(va).describe('Nameplate of the range, W; 0 where there is none.'),
        inletId: unknownUnless(inventoryId),
      })
      .nullable()
      .default(null)
      .describe('Lighting and circuits by the form; null: appliances alone.'),
    appliances: z
      .array(
        z.strictObject({
          name: line(80),
          loadVa: unknownUnless(va).describe('By the nameplate.'),
          inletId: unknownUnless(inventoryId),
          legs: unknownUnless(z.enum(legPlaces)),
          motor: z.boolean().default(false),
          continuous: z.boolean().default(false).describe('Runs for three hours or more.'),
          fixed: z.boolean().default(false).describe('Fastened in place: water heater, dishwasher, dryer.'),
          use: z.enum(['always', 'heating', 'cooling', 'heatingAndCooling']).default('always'),
        }),
      )
      .max(100)
      .default([]),
    assume: z
      .strictObject({
        lengthOverallM: unknownUnless(z.number().positive().max(200)),
        airConditioning: unknownUnless(z.boolean()),
      })
      .nullable()
      .default(null)
      .describe('Assume the appliances from the length instead; the answer is then marked as an assumption.'),
  })
  .meta({ id: 'BoatLoadCalculation', description: 'Null is unknown, and never judged as fine.' });

const resultSchema = z
  .strictObject({
    method: z.strictObject({ id: z.string(), name: z.string(), source: z.string(), notes: z.array(z.string()) }),
    assumed: z
      .strictObject({
        source: z.string(),
        appliances: z.array(z.strictObject({ name: z.string(), loadVa: z.number() })),
      })
      .nullable()
      .describe('Appliances assumed from the length.'),
    generalVa: z.number().describe('Lighting and circuits as counted.'),
    generalDemandVa: z.number().describe('After the factor of the form.'),
    rangeDemandVa: z.number(),
    demandVa: z.number().describe('The whole boat by the form.'),
    inlets: z.array(
      z.strictObject({
        inletId: z.string(),
        legs: z.array(
          z.strictObject({
            leg: z.enum(legNames),
            runningA: amperes.describe('Everything of the season at once, by nameplate.'),
            demandA: amperes.describe('By the form.'),
            sizingA: amperes.describe('By the form, continuous loads at 125 %: for breaker and conductor.'),
          }),
        ),
        mainBreakerA: z.number().nullable(),
        assessment: z.enum(['within', 'over', 'notAssessed']),
      }),
    ),
    findings: z.array(findingSchema),
    cautions: z.array(z.string()),
  })
  .meta({ id: 'BoatLoadResult' });

export const boatLoad = definePublicRoute({
  method: 'POST',
  url: '/v1/calculations/boat-load',
  operationId: 'calculateBoatLoad',
  summary: 'Calculate what a boat draws on each leg of each inlet',
  description:
    'Stores nothing. The example is a published dwelling (Centerville municipal code 152.36): 1,500 square feet, two ' +
    'appliance circuits, laundry, a 12 kW range: 9,000 VA, 5,100 VA after the factor, 13,100 VA with the range.',
  tag: 'Calculations',
  body: inputSchema,
  example: {
    inlets: [{ id: 'I1', lineToNeutralV: 120, lineToLineV: 240, mainBreakerA: 100 }],
    general: { livingAreaM2: 139.35456, applianceCircuits: 2, laundryVa: 1500, rangeW: 12_000, inletId: 'I1' },
  },
  response: { 200: resultSchema },
}).handle(async ({ body }) => {
  const { methodId, assume, ...question } = body;
  const method = loadMethod(methodId);
  if (method === null) {
    const message = `There is no form "${methodId}". Use one of: ${loadMethods.map(({ id }) => id).join(', ')}.`;
    throw new Problem('invalid-input', message, { errors: [{ in: 'body', pointer: '/methodId', message }] });
  }
  const twice = question.inlets.findIndex(({ id }, i) => question.inlets.some((other, j) => j < i && other.id === id));
  if (twice >= 0) {
    const message = `There are two inlets "${question.inlets[twice]?.id}". Rename one.`;
    throw new Problem('invalid-input', message, { errors: [{ in: 'body', pointer: `/inlets/${twice}/id`, message }] });
  }
  if (assume !== null && question.appliances.length > 0) {
    const message = 'Give the appliances, or have them assumed from the length: not both.';
    throw new Problem('invalid-input', message, { errors: [{ in: 'body', pointer: '/assume', message }] });
  }
  const assumed = assume === null ? null : classDefaultAppliances(assume.lengthOverallM, assume.airConditioning);
  const result = calculateBoatLoad({
    ...question,
    method,
    boat: { kind: 'boat', id: 'boat', label: 'the boat' },
    appliances: assumed ?? question.appliances,
    assumed: assumed !== null,
  });
  const shown = assumed?.map(({ name, loadVa }) => ({ name, loadVa: loadVa ?? 0 })) ?? null;
  return {
    status: 200,
    body: {
      method: { id: method.id, name: method.name, source: citation(method.source), notes: method.notes },
      assumed: shown === null ? null : { source: classDefaultSource, appliances: shown },
      ...result,
      cautions: electricalCautions,
    },
  };
});
