import { z } from 'zod';
import { channelNames } from '../../core/electrical/demand/channels.ts';
import type { DemandAtOnce } from '../../core/electrical/demand/demand-at.ts';
import type { PeakOfPart } from '../../core/electrical/demand/demand-of-part.ts';
import type { Equipment } from '../../core/inventory/inventory.ts';
import type { LineName } from '../../core/standards/configuration.ts';
import type { DemandPractice } from '../../core/standards/demand-practice.ts';
import { instant } from '../http/fields.ts';
import { findingSchema } from '../http/finding-schema.ts';
import { sourceSchema } from '../standards/schema.ts';

export const limit = {
  kind: z.enum(['breaker', 'conductor', 'neutral', 'bus', 'winding']),
  winding: z.string().nullable().describe('Name of the winding; null for the other kinds.'),
  actual: z.number(),
  limit: z.number().nullable().describe('Null: nobody has stated it.'),
  margin: z.number().nullable().describe('Limit less actual; below zero when over, null where the limit is unknown.'),
  unit: z.enum(['A', 'kVA']),
};
export const assessment = z
  .enum(['within', 'over', 'notAssessed'])
  .describe('`notAssessed`: no limit is stated, or a load or the supply is unknown. Never read it as within.');

export const appliedFactorSchema = z
  .strictObject({
    countingBasis: z.enum(['all', 'mostLoadedLine', 'larger']),
    count: z.int(),
    factor: z.number(),
    countedVa: z.number().describe('Load that the factor applies to; admission: the `count` largest ratings summed.'),
    source: z.string(),
  })
  .meta({ id: 'AppliedFactor' })
  .describe('The count that chose the factor of the whole load. `larger`: whichever of both counts gives more.');

export const practiceUsedSchema = z.strictObject({ id: z.string(), name: z.string(), source: sourceSchema });

const partSchema = z.strictObject({
  equipmentId: z.string(),
  label: z.string(),
  kind: z.enum(['service', 'transformer', 'panelboard', 'feeder', 'branchCircuit']),
  parentId: z.string().nullable(),
});

const countedFields = {
  receptacles: z.int().describe('Receptacles counted.'),
  connectedVa: z.number().describe("Their ratings summed, or the boats' stated loads."),
  appliedFactor: appliedFactorSchema.nullable().describe('Null on the stated basis: no factor.'),
  otherLoadVa: z.number().describe('Loads outside the factor.'),
};

export const channelDemandSchema = z
  .strictObject({
    channel: z.enum(channelNames).describe('Between line and neutral (`L1`), or between two lines (`L1-L2`).'),
    receptacles: z.int().describe('Receptacles that load the channel.'),
    connectedVa: z.number(),
    count: z.int().nullable().describe('The count of its own that gives most; null on the stated basis.'),
    factor: z.number().nullable(),
    countedVa: z.number().describe('The `count` largest summed.'),
    otherLoadVa: z.number(),
    demandVa: z.number().describe('`countedVa` x `factor` + `otherLoadVa`.'),
  })
  .meta({
    id: 'ChannelDemand',
    description:
      'Each channel has a count and a factor of its own. The amperes of a line are the phasor sum, at unity power factor, of the channels that touch it.',
  });

export const perLine = <T extends z.ZodType>(value: T) =>
  z.strictObject({ L1: value.exactOptional(), L2: value.exactOptional(), L3: value.exactOptional() });

const peak = z.strictObject({ value: z.number(), at: instant.describe('When it is first reached.') });

const onBasisSchema = z
  .strictObject({
    counted: z
      .strictObject({ ...countedFields, channels: z.array(channelDemandSchema) })
      .nullable()
      .describe('What the demand comes from; null over a period, where it changes.'),
    demandVa: peak,
    lineA: perLine(peak),
    limits: z.array(z.strictObject({ ...limit, at: instant })).describe('Each limit has a peak of its own.'),
    assessment,
    findings: z.array(findingSchema),
  })
  .meta({ id: 'DemandOnBasis' });

export const demandOfPartSchema = z
  .strictObject({
    ...partSchema.shape,
    rated: onBasisSchema.describe('Outlets in use by their ratings, with the admission formula of the practice.'),
    stated: onBasisSchema.describe("The boats' own loads, no factor; the full rating where nobody stated any."),
  })
  .meta({ id: 'DemandOfPart' });

export const designOfPartSchema = z
  .strictObject({
    ...partSchema.shape,
    ...countedFields,
    demandVa: z.number().describe('Connected load times factor, and the other loads.'),
    lineA: perLine(z.number()),
    limits: z.array(z.strictObject(limit)),
    assessment,
    findings: z.array(findingSchema),
  })
  .meta({ id: 'DesignDemandOfPart' });

const context = {
  inventoryRevision: z.int(),
  practice: practiceUsedSchema,
  cautions: z.array(z.string()),
};

export const demandSchema = z
  .strictObject({
    from: instant,
    until: instant.nullable().describe('Null: the answer is of the moment "from".'),
    ...context,
    countingBasis: z.literal('larger').describe('Admission counts both ways and takes the larger.'),
    refusingBasis: z.enum(['rated', 'stated']).describe('The basis that refuses a boat; the other one cautions.'),
    parts: z.array(demandOfPartSchema),
  })
  .meta({ id: 'Demand' });

export const designSchema = z
  .strictObject({
    ...context,
    countingBasis: z.enum(['all', 'mostLoadedLine']).describe('What was asked for, or else the setting of the marina.'),
    parts: z.array(designOfPartSchema),
  })
  .meta({ id: 'DesignDemand' });

const dayOnBasis = z.strictObject({
  demandVa: z.number(),
  limits: z.array(z.strictObject(limit)),
  assessment,
});

export const demandSeriesSchema = z
  .strictObject({
    ...context,
    ...partSchema.shape,
    refusingBasis: z.enum(['rated', 'stated']),
    days: z
      .array(z.strictObject({ day: z.string(), rated: dayOnBasis, stated: dayOnBasis }))
      .describe('Days at the marina, each with its peaks.'),
  })
  .meta({ id: 'DemandSeries' });

/** Core's answer for a moment, every value of that moment. */
export function momentToApi(demand: DemandAtOnce, moment: number) {
  const at = new Date(moment).toISOString();
  const { receptacles, connectedVa, appliedFactor, otherLoadVa, channels, demandVa, lineA, limits } = demand;
  return {
    counted: { receptacles, connectedVa, appliedFactor, otherLoadVa, channels },
    demandVa: { value: demandVa, at },
    lineA: eachLine(lineA, (value) => ({ value, at })),
    limits: limits.map((check) => ({ ...check, at })),
    assessment: demand.assessment,
    findings: demand.findings,
  };
}

/** Core's answer for a period, every value with the time of its peak. */
export function peakToApi({ demandVa, lineA, limits, assessment, findings }: PeakOfPart) {
  const withTime = <T extends { readonly at: number }>(value: T) => ({
    ...value,
    at: new Date(value.at).toISOString(),
  });
  return {
    counted: null,
    demandVa: withTime(demandVa),
    lineA: eachLine(lineA, withTime),
    limits: limits.map(withTime),
    assessment,
    findings,
  };
}

function eachLine<From, To>(byLine: Partial<Record<LineName, From>>, change: (value: From) => To) {
  const changed: Partial<Record<LineName, To>> = {};
  for (const line of ['L1', 'L2', 'L3'] as const) {
    const value = byLine[line];
    if (value !== undefined) changed[line] = change(value);
  }
  return changed;
}

export function partToApi({ id, label, kind, parentId }: Equipment) {
  return { equipmentId: id, label, kind, parentId };
}

export function practiceToApi({ id, name, source }: DemandPractice) {
  return { id, name, source };
}
