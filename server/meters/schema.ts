import { z } from 'zod';
import { id, instant, line } from '../http/fields.ts';
import { findingSchema } from '../http/finding-schema.ts';

const subjectKind = z.enum(['outlet', 'pedestal', 'equipment']);

export const meterInputSchema = z.strictObject({
  label: line(200),
  subjectKind,
  subjectId: id.describe('Outlet, pedestal or part of the distribution equipment that it measures.'),
  quantity: z
    .enum(['energyKwh', 'demandKw', 'demandKva', 'amperes', 'registerKwh'])
    .describe(
      '`energyKwh`: energy of each interval. `demandKw`, `demandKva`, `amperes`: average over each interval. `registerKwh`: a register that only grows, until it is restarted.',
    ),
  intervalMinutes: z
    .int()
    .min(1)
    .max(1440)
    .refine((minutes) => 1440 % minutes === 0, 'Write minutes that divide a day.'),
  powerFactor: z.number().gt(0).max(1).nullable().describe('Of what it measures; null: not known, and then assumed.'),
});

export const meterSchema = z.strictObject({ id, ...meterInputSchema.shape, version: z.int() }).meta({ id: 'Meter' });

export const importedSchema = z.strictObject({
  lines: z.int().describe('Lines with a reading, sound or not.'),
  stored: z.int(),
  repeated: z.int().describe('Stood there already with the same value.'),
  refused: z.int(),
  errors: z.array(z.strictObject({ line: z.int(), message: z.string() })).describe('The first hundred.'),
});

export const readingSchema = z.strictObject({
  meterId: id,
  line: z.enum(['all', 'L1', 'L2', 'L3']),
  from: z.iso.datetime(),
  value: z.number(),
});

export const gapsSchema = z.strictObject({
  gaps: z.array(z.strictObject({ from: z.iso.datetime(), until: z.iso.datetime() })).describe('At most a thousand.'),
  restarts: z
    .array(z.strictObject({ at: z.iso.datetime(), before: z.number(), after: z.number() }))
    .describe('Where a register fell: the energy since the reading before is unknown and counts as a gap.'),
});

export const loadNoteInputSchema = z.strictObject({
  kind: z.enum(['bill', 'notebook']),
  subjectKind: subjectKind.nullable(),
  subjectId: id.nullable(),
  from: instant,
  until: instant,
  energyKwh: z.number().min(0).max(1e9).nullable(),
  peakDemandKw: z.number().min(0).max(1e6).nullable(),
  turnedAway: z.int().min(0).max(100_000).nullable().describe('Calls turned away, as the notebook has them.'),
  suppliedBy: line(200).describe('Who supplied the figure.'),
  note: z.string().max(2000),
});

export const loadNoteSchema = z
  .strictObject({ id, ...loadNoteInputSchema.shape, from: z.iso.datetime(), until: z.iso.datetime() })
  .meta({ id: 'LoadNote' });

export const measuredPartSchema = z.strictObject({
  equipmentId: z.string(),
  label: z.string(),
  meterIds: z.array(z.string()),
  unmeteredOutlets: z.int(),
  intervals: z.int(),
  completeShare: z.number(),
  daysRead: z.int(),
  peakVa: z.number().nullable(),
  peakAt: z.iso.datetime().nullable(),
  peakA: z.number().nullable().describe('Of the most loaded line; null above a transformer, where lines are others.'),
  limitA: z.number().nullable(),
  method: z.enum(['oneYear', 'thirtyDays', 'none']),
  existingA: z.number().nullable().describe('125 % of the peak.'),
  totalA: z.number().nullable(),
  assessment: z.enum(['within', 'over', 'notAssessed']),
  ratedVa: z.number(),
  statedVa: z.number(),
  why: z.array(z.string()),
  findings: z.array(findingSchema),
});

export const measuredLoadSchema = z
  .strictObject({
    from: z.iso.datetime(),
    until: z.iso.datetime(),
    intervalMinutes: z.int(),
    parts: z.array(measuredPartSchema),
    assumptions: z.array(z.string()),
    leftOut: z.array(z.strictObject({ meterId: z.string(), why: z.string() })),
    notes: z
      .array(loadNoteSchema)
      .describe('Bills and notebook entries of the period: no readings, and never summed with them.'),
    cautions: z.array(z.string()),
  })
  .meta({ id: 'MeasuredLoad' });
