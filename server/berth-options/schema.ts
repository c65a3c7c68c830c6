import { z } from 'zod';
import type { BerthOption } from '../../core/berths/options/options.ts';
import { findingSchema, subjectSchema } from '../http/finding-schema.ts';

export const verdictSchema = z
  .enum(['refused', 'unconfirmed', 'cautioned', 'clear'])
  .describe('The gravest level spoken; `unconfirmed`: a missing fact decides.');
export const orientationSchema = z.enum(['bowIn', 'sternIn']);
const lineName = z.enum(['L1', 'L2', 'L3']);
const key = z.string().min(1).max(100);
const metre = z.number().min(0).max(10_000);

export const placeSchema = z.strictObject({ fromM: metre, untilM: metre }).meta({ id: 'FacePlace' });

/** What joins boat and dock, as an option gives it and as `assign` takes it. */
export const hookUpSchema = z
  .strictObject({
    adapters: z
      .array(
        z.strictObject({
          ref: key,
          kindId: key,
          from: z.enum(['aboard', 'stock', 'toBring']),
          stockId: key.nullable(),
        }),
      )
      .max(8),
    joints: z
      .array(
        z.strictObject({
          from: z.discriminatedUnion('kind', [
            z.strictObject({ kind: z.literal('outlet'), outletId: key }),
            z.strictObject({ kind: z.literal('connector'), adapter: key, fitting: key }),
          ]),
          to: z.discriminatedUnion('kind', [
            z.strictObject({ kind: z.literal('plug'), adapter: key, fitting: key }),
            z.strictObject({ kind: z.literal('inlet'), inletId: key, configurationId: key }),
          ]),
        }),
      )
      .max(24),
  })
  .meta({ id: 'HookUp', description: 'Which outlet or connector goes into which plug or inlet.' });

const legSchema = z.strictObject({
  terminal: lineName,
  outletId: z.string().nullable(),
  line: lineName.nullable(),
  lineToNeutralV: z.number().nullable(),
  availableA: z.number().nullable(),
});

/** How the boat is connected, and what that gives it. */
export const connectionSchema = z
  .strictObject({
    hookUp: hookUpSchema,
    inlets: z.array(
      z.strictObject({
        inletId: z.string(),
        configurationId: z.string(),
        cordSetIds: z.array(z.string()).nullable(),
        legs: z.array(legSchema),
        lineToLineV: z.number().nullable(),
        availableVa: z.number().nullable(),
      }),
    ),
    availableVa: z.number().nullable(),
  })
  .meta({ id: 'Connection' });

export const cordSchema = z.strictObject({
  outletId: z.string(),
  inletId: z.string(),
  lengthM: z.number().nullable().describe('Length that reaches for certain; null where none is known to.'),
});

export const tightestSchema = z
  .strictObject({
    equipmentId: z.string(),
    label: z.string(),
    basis: z.enum(['rated', 'stated']),
    limitKind: z.enum(['breaker', 'conductor', 'neutral', 'bus', 'winding']),
    winding: z.string().nullable(),
    actual: z.number(),
    limit: z.number(),
    unit: z.enum(['A', 'kVA']),
    marginShare: z.number(),
    at: z.iso.datetime({ offset: true }).describe('When the peak is first reached.'),
  })
  .meta({ id: 'TightestLimit' });

export const boatVoltsSchema = z
  .strictObject({
    status: z
      .enum(['solved', 'notSolved', 'notAssessed'])
      .describe('`notAssessed`: a conductor datum is missing; never read it as within range.'),
    basis: z
      .enum(['rated', 'stated'])
      .describe('On which others in use during the stay, all at once, and this boat were taken to draw.'),
    lowest: z
      .strictObject({
        outletId: z.string(),
        between: z.string().describe('`L1-N`, `L1-L2`: contacts of the outlet.'),
        voltageV: z.number(),
        nominalV: z.number(),
      })
      .nullable(),
  })
  .meta({ id: 'BoatVolts' });

export const optionSchema = z
  .strictObject({
    berthId: z.string(),
    label: z.string(),
    dockId: z.string(),
    verdict: verdictSchema,
    orientation: orientationSchema,
    place: placeSchema.nullable(),
    connection: connectionSchema.nullable(),
    outletIds: z.array(z.string()),
    cords: z.array(cordSchema),
    tightest: tightestSchema.nullable(),
    volts: boatVoltsSchema
      .nullable()
      .describe(
        'What the boat finds at its outlets, solved; null without outlets, and where no override could offer the berth.',
      ),
    findings: z.array(findingSchema),
    score: z.array(
      z.strictObject({ name: z.string(), value: z.number(), unit: z.string(), better: z.enum(['lower', 'higher']) }),
    ),
  })
  .meta({ id: 'BerthOption' });

export const optionsSchema = z
  .strictObject({
    stayId: z.string(),
    inventoryRevision: z.int(),
    options: z.array(optionSchema),
    refused: z.array(optionSchema),
    counts: z
      .strictObject({ options: z.int(), refused: z.int() })
      .describe('Berths in all that could take it, and refused ones; the lists hold as many as were asked for.'),
    nearMisses: z.array(z.strictObject({ berthId: z.string(), label: z.string(), mends: z.array(z.string()) })),
    question: z
      .strictObject({
        subject: subjectSchema,
        fact: z.string().describe('Its path in the document of the subject.'),
        question: z.string(),
        berths: z.int().describe('How many of the best 20 berths hang on it, alone or with other facts.'),
      })
      .nullable(),
    all: z.array(z.strictObject({ berthId: z.string(), label: z.string(), verdict: verdictSchema })),
    cautions: z.array(z.string()),
  })
  .meta({ id: 'BerthOptions' });

/** A judged berth as the API shows it. */
export function optionDocument({ hookUp, tightest, volts, ...option }: BerthOption) {
  const connection = connectionDocument(hookUp);
  return { ...option, connection, tightest: tightestDocument(tightest), volts: voltsDocument(volts) };
}

function voltsDocument(volts: BerthOption['volts']) {
  if (volts === null) return null;
  const { status, basis, lowest } = volts;
  return { status, basis, lowest };
}

export function connectionDocument(hookUp: BerthOption['hookUp']) {
  if (hookUp === null) return null;
  const { hookUp: joined, inlets, availableVa } = hookUp;
  return { hookUp: joined, inlets, availableVa };
}

export function tightestDocument(tightest: BerthOption['tightest']) {
  return tightest === null ? null : { ...tightest, at: new Date(tightest.at).toISOString() };
}
