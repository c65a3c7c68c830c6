import { z } from 'zod';
import { configurationFamilies } from '../../core/standards/configuration.ts';
import { orientationSchema, verdictSchema } from '../berth-options/schema.ts';
import { neutralBond, ownSupply } from '../boats/schema.ts';
import { id, instant } from '../http/fields.ts';
import { inventoryId } from '../inventory/schema.ts';
import { questionSchema } from '../stays/schema.ts';

/** What stands on a sheet, apart from which issue it is: two issues differ in this. */
export const sheetContentSchema = z.strictObject({
  marinaName: z.string(),
  timeZone: z.string(),
  boatName: z.string(),
  state: z.string(),
  arrival: instant,
  departure: instant,
  place: z
    .strictObject({
      berth: z.string(),
      dock: z.string(),
      orientation: orientationSchema,
      sideTo: z.enum(['port', 'starboard']).nullable().default(null).describe("The boat's side at the finger pier."),
    })
    .nullable()
    .describe('Null: no berth is held yet.'),
  needsBerth: z.boolean().default(false).describe('Its berth, or an outlet kept for it, was lost: it needs another.'),
  verdict: verdictSchema.nullable().describe('Of the hook-up; null where there is none. Refused: no outlet is named.'),
  outlets: z.array(
    z.strictObject({
      label: z.string(),
      configurationId: z.string(),
      name: z.string(),
      breakerA: z.number().nullable(),
      side: z.enum(['port', 'starboard']).nullable().describe('Of the boat as it is to lie; null: not measured.'),
    }),
  ),
  adapters: z.array(z.strictObject({ name: z.string(), from: z.enum(['aboard', 'stock', 'toBring']) })),
  cords: z.array(z.strictObject({ inletId: z.string(), configurationId: z.string(), lengthM: z.number().nullable() })),
  power: z.array(
    z.strictObject({
      inletId: z.string(),
      legs: z.array(z.strictObject({ volts: z.number().nullable(), amperes: z.number().nullable() })),
      availableVa: z.number().nullable(),
    }),
  ),
  together: z
    .strictObject({ fits: z.array(z.string()), tooMuch: z.array(z.string()) })
    .nullable()
    .describe('Appliances that can run at once, in the order told, and those beyond; null: nobody has told them.'),
  questions: z.array(questionSchema).describe('What the marina still has to know.'),
  contact: z.string().nullable(),
  price: z.string(),
  terms: z.string(),
  afterHours: z.string(),
  told: z
    .strictObject({
      inlets: z.array(z.strictObject({ id: z.string(), configurationIds: z.array(z.string()).nullable() })),
      frequencyHz: z.number().nullable().describe("Of the marina's supply."),
      families: z
        .array(z.enum(configurationFamilies))
        .default([])
        .describe('Of the configurations that the marina has outlets of.'),
    })
    .describe('What the answers start from.'),
});

export type SheetContent = z.output<typeof sheetContentSchema>;

export const sheetSchema = z
  .strictObject({
    ...sheetContentSchema.shape,
    issue: z.int(),
    issuedAt: instant,
    changes: z.array(z.string()).describe('What this issue changed.'),
    shortText: z.string().describe('The same in a few lines, for a phone without signal.'),
    cautions: z.array(z.string()),
  })
  .meta({ id: 'BoaterSheet', description: 'What a boater reads before casting off. It holds nothing of other boats.' });

export type Sheet = z.output<typeof sheetSchema>;

const orNull = <T extends z.ZodType>(schema: T) => schema.nullable().default(null);
const designation = z.string().min(1).max(64);

export const answersSchema = z
  .strictObject({
    inlets: z
      .array(z.strictObject({ id: inventoryId, configurationId: designation }))
      .max(4)
      .default([]),
    cordSets: orNull(
      z
        .array(
          z.strictObject({
            lengthM: z.number().positive().max(1_000),
            configurationId: designation,
            ratedA: z.number().positive().max(1_000),
          }),
        )
        .max(8),
    ),
    adapterKindIds: orNull(z.array(inventoryId).max(20)),
    frequenciesHz: orNull(
      z
        .array(z.union([z.literal(50), z.literal(60)]))
        .min(1)
        .max(2),
    ),
    wantsPower: orNull(z.boolean()),
    neutralBond: orNull(neutralBond),
    ownSupplies: orNull(z.array(ownSupply).max(8)),
    arrival: orNull(instant),
  })
  .meta({ id: 'BoaterAnswers', description: 'What is null or left out stays as it was told.' });

export type Answers = z.output<typeof answersSchema>;

export const sheetParams = z.strictObject({ secret: id });
