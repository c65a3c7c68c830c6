import { z } from 'zod';
import { electricalCautions } from '../../core/cautions.ts';
import type { LeakagePlace } from '../../core/electrical/leakage/leakage.ts';
import { budgetsLeft, sumLeakage } from '../../core/electrical/leakage/sum-leakage.ts';
import type { Subject } from '../../core/findings.ts';
import { type InputError, Problem } from '../errors.ts';
import { instant } from '../http/fields.ts';
import { findingSchema, subjectSchema } from '../http/finding-schema.ts';
import { definePublicRoute } from '../http/route.ts';
import { inventoryId, unknownUnless } from '../inventory/schema.ts';

/** Deeper than any marina: a way up costs time for every reading below it. */
const deepest = 40;

const milliamperes = z.number().min(0).max(100_000);

const inputSchema = z
  .strictObject({
    places: z
      .array(
        z.strictObject({
          id: inventoryId,
          kind: z.enum(['outlet', 'equipment']),
          aboveId: unknownUnless(inventoryId).describe(
            'The place above it, given earlier in the list; null at the source.',
          ),
          device: z.enum(['fitted', 'none', 'unknown']).describe('Its ground-fault device.'),
          settingMa: unknownUnless(milliamperes),
        }),
      )
      .min(1)
      .max(5_000)
      .describe('From the source down. A transformer starts a source of its own: residual current does not pass it.'),
    readings: z
      .array(
        z.strictObject({
          placeId: inventoryId,
          boatId: inventoryId,
          leakageMa: unknownUnless(milliamperes).describe(
            'Lines and neutral clamped together; null: nobody has read it.',
          ),
          takenAt: unknownUnless(instant),
          loadsOn: unknownUnless(z.boolean()),
        }),
      )
      .max(5_000)
      .default([]),
    trips: z
      .array(z.strictObject({ placeId: inventoryId, boatId: unknownUnless(inventoryId) }))
      .max(5_000)
      .default([])
      .describe('Trips as entered by hand.'),
  })
  .meta({ id: 'LeakageCalculation', description: 'Null is unknown, and never judged as fine.' });

type Input = z.output<typeof inputSchema>;

/** A sum as it is answered, here and for a marina's own readings. */
export const leakageSumSchema = {
  devices: z.array(
    z.strictObject({
      placeId: z.string(),
      subject: subjectSchema,
      settingMa: z.number().nullable(),
      sumMa: z.number().describe('All readings below it; leakage on different lines partly cancels.'),
      boats: z.int(),
      unreadBoats: z.int(),
      noBound: z
        .array(z.enum(['notRead', 'loadsOff', 'notTogether']))
        .describe('What keeps the sum from being an upper bound; empty where it is one.'),
      assessment: z.enum(['within', 'mayTrip', 'over', 'notAssessed']),
      budgetLeftMa: z.number().nullable().describe('An unread boat counts as 20 mA.'),
      contributors: z
        .array(
          z.strictObject({
            boat: subjectSchema,
            leakageMa: z.number(),
            share: z.number(),
            trips: z.int().describe('Put down to it, of this device and of those below it.'),
          }),
        )
        .describe('Who leaks most first.'),
      trips: z.int(),
    }),
  ),
  boats: z.array(
    z.strictObject({ boat: subjectSchema, leakageMa: z.number(), unreadOutlets: z.int(), trips: z.int() }),
  ),
  findings: z.array(findingSchema),
};

const resultSchema = z
  .strictObject({
    ...leakageSumSchema,
    outlets: z
      .array(
        z.strictObject({
          placeId: z.string(),
          budgetLeftMa: z.number().nullable(),
          tightestPlaceId: z.string().nullable(),
          unknownPlaceIds: z.array(z.string()),
        }),
      )
      .describe('What is left for one more boat on each outlet, by the tightest device above it.'),
    cautions: z.array(z.string()),
  })
  .meta({ id: 'LeakageResult' });

export const leakage = definePublicRoute({
  method: 'POST',
  url: '/v1/calculations/leakage',
  operationId: 'calculateLeakage',
  summary: 'Sum leakage currents under each ground-fault device',
  description:
    'Stores nothing. The example is a fact of the trade: six sound boats of 17 mA each, every one below the 30 mA of its ' +
    'outlet, together make 102 mA and can trip the 100 mA device of their feeder.',
  tag: 'Calculations',
  body: inputSchema,
  example: sixSoundBoats(),
  response: { 200: resultSchema },
}).handle(async ({ body }) => {
  const errors = placeErrors(body);
  if (errors.length > 0) throw new Problem('invalid-input', errors[0]?.message ?? '', { errors });
  const places = body.places.map(
    ({ id, kind, aboveId, device, settingMa }): LeakagePlace => ({
      id,
      subject: { kind, id, label: id },
      aboveId,
      device,
      settingMa,
    }),
  );
  const result = sumLeakage({
    places,
    readings: body.readings.map(({ boatId, takenAt, ...reading }) => ({
      ...reading,
      boat: boatSubject(boatId),
      takenAt: takenAt === null ? null : Date.parse(takenAt),
    })),
    trips: body.trips.map(({ placeId, boatId }) => ({ placeId, boat: boatId === null ? null : boatSubject(boatId) })),
  });
  const outletIds = body.places.filter(({ kind }) => kind === 'outlet').map(({ id }) => id);
  const outlets = [...budgetsLeft(places, result, outletIds)].map(([placeId, { leftMa, ...rest }]) => ({
    placeId,
    budgetLeftMa: leftMa,
    ...rest,
  }));
  return { status: 200, body: { ...result, outlets, cautions: electricalCautions } };
});

const boatSubject = (id: string): Subject => ({ kind: 'boat', id, label: id });

/** A place above must stand earlier in the list: then there is no circle. */
function placeErrors({ places, readings, trips }: Input): InputError[] {
  const errors: InputError[] = [];
  const known = new Map<string, number>();
  places.forEach(({ id, aboveId }, i) => {
    const depth = aboveId === null ? 1 : (known.get(aboveId) ?? 0) + 1;
    if (depth > deepest) {
      const message = `"${id}" has more than ${deepest} places above it. Leave out places without a device.`;
      errors.push({ in: 'body', pointer: `/places/${i}/aboveId`, message });
    }
    if (known.has(id)) {
      errors.push({ in: 'body', pointer: `/places/${i}/id`, message: `There are two places "${id}". Rename one.` });
    }
    if (aboveId !== null && !known.has(aboveId)) {
      const message = `"${aboveId}" is no place given before "${id}". List the places from the source down.`;
      errors.push({ in: 'body', pointer: `/places/${i}/aboveId`, message });
    }
    known.set(id, depth);
  });
  const need = (list: readonly { readonly placeId: string }[], name: string) =>
    list.forEach(({ placeId }, i) => {
      if (known.has(placeId)) return;
      const message = `There is no place "${placeId}". Name one of the places given.`;
      errors.push({ in: 'body', pointer: `/${name}/${i}/placeId`, message });
    });
  need(readings, 'readings');
  need(trips, 'trips');
  return errors;
}

function sixSoundBoats(): z.input<typeof inputSchema> {
  const numbers = [1, 2, 3, 4, 5, 6];
  return {
    places: [
      { id: 'feeder', kind: 'equipment', aboveId: null, device: 'fitted', settingMa: 100 },
      ...numbers.map((n) => ({
        id: `outlet-${n}`,
        kind: 'outlet' as const,
        aboveId: 'feeder',
        device: 'fitted' as const,
        settingMa: 30,
      })),
    ],
    readings: numbers.map((n) => ({
      placeId: `outlet-${n}`,
      boatId: `boat-${n}`,
      leakageMa: 17,
      takenAt: '2030-06-10T12:00:00Z',
      loadsOn: true,
    })),
  };
}
