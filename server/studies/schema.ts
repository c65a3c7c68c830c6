import { z } from 'zod';
import { editionIds } from '../../core/electrical/sizing/review/editions.ts';
import { rateKinds } from '../../core/upgrades/money/tariff.ts';
import { id, instant, line } from '../http/fields.ts';
import { findingSchema } from '../http/finding-schema.ts';
import { collectionSchemas, inventoryId } from '../inventory/schema.ts';

/** Money and rates as decimal strings: no float ever holds them. */
export const decimal = z
  .string()
  .max(30)
  .regex(/^\d{1,15}(\.\d{1,12})?$/, 'Write a decimal such as "1250.50".');
const currency = z.string().regex(/^[A-Z]{3}$/, 'Write an ISO 4217 code such as USD.');
const monthDay = z.string().regex(/^(0[1-9]|1[0-2])-(0[1-9]|[12]\d|3[01])$/, 'Write a day of the year as MM-DD.');

export const tariffSchema = z
  .strictObject({
    currency,
    lengthCharged: z.enum(['begun', 'exact']).describe('By whole feet or metres begun, or as they are.'),
    rates: z
      .array(
        z.strictObject({
          id: inventoryId,
          label: line(100),
          kind: z.enum(rateKinds),
          amount: decimal,
          season: z.strictObject({ from: monthDay, until: monthDay }).nullable().default(null),
          longerThanM: z.number().min(0).max(500).nullable().default(null),
          upToM: z.number().min(0).max(500).nullable().default(null),
          outletRatedA: z.number().min(0).max(10_000).nullable().default(null),
        }),
      )
      .max(200)
      .describe('Every rate that holds is charged: rates do not replace each other.'),
    taxes: z
      .array(
        z.strictObject({
          id: inventoryId,
          label: line(100),
          percent: decimal,
          onRateIds: z.array(inventoryId).max(200).nullable().default(null),
        }),
      )
      .max(20),
  })
  .meta({ id: 'Tariff' });

const changeOf = <C extends keyof typeof collectionSchemas>(collection: C) =>
  z.strictObject({
    collection: z.literal(collection),
    id: inventoryId,
    item: collectionSchemas[collection].nullable().describe('Null: it is taken away.'),
  });

const itemSchema = z.discriminatedUnion('collection', [
  changeOf('docks'),
  changeOf('equipment'),
  changeOf('pedestals'),
  changeOf('outlets'),
  changeOf('spaceUnits'),
  changeOf('berths'),
]);

const obligationSchema = z.strictObject({
  id: inventoryId,
  label: line(200).describe('What has to be done besides.'),
  rule: line(100).nullable().default(null).describe('Rule of the finding that asks for it.'),
  changeIds: z
    .array(inventoryId)
    .max(50)
    .default([])
    .describe('Due where any of these changes is made; none: with any change.'),
  cost: decimal,
  suppliedBy: line(200).describe('Who supplied the figure.'),
  confirmedBy: line(200)
    .nullable()
    .default(null)
    .describe('Who said for the authority that it is asked for; null: to be confirmed by the authority.'),
});

export const studyInputSchema = z
  .strictObject({
    name: line(200),
    currency,
    edition: z.enum(editionIds),
    loan: z
      .strictObject({
        ratePercent: decimal,
        years: z.int().min(1).max(50),
        paymentsPerYear: z.union([z.literal(1), z.literal(12)]),
      })
      .nullable(),
    changes: z
      .array(
        z.strictObject({
          id: inventoryId,
          label: line(200),
          items: z.array(itemSchema).max(2000),
          cost: decimal,
          lifeYears: z.number().gt(0).max(100),
          outOfServiceDays: z.number().min(0).max(3650),
          suppliedBy: line(200).describe('Who supplied the figures.'),
          requires: z.array(inventoryId).max(50),
        }),
      )
      .max(200),
    obligations: z
      .array(obligationSchema)
      .max(100)
      .default([])
      .describe('What the edition asks for besides, with its cost, which is part of every total. Each counts once.'),
  })
  .meta({ id: 'StudyInput' });

export const studySchema = z
  .strictObject({
    id,
    ...studyInputSchema.shape,
    version: z.int(),
    cost: z.string().describe('Of all its changes and what they oblige to.'),
    costOfObligations: z.string().describe('The part of the cost that is for what the edition asks besides.'),
    yearlyPayment: z.string().nullable().describe('Null without a loan.'),
    baseRevision: z.int(),
    movedOn: z
      .boolean()
      .describe('The marina’s inventory has changed since the copy was made. Rebase to take the present one.'),
    movedUnder: z
      .array(z.strictObject({ changeId: z.string(), collection: z.string(), id: z.string() }))
      .describe('What the changes touch and is another thing by now.'),
  })
  .meta({ id: 'Study' });

const limitSchema = z.strictObject({
  kind: z.string(),
  winding: z.string().nullable(),
  actual: z.number(),
  limit: z.number().nullable(),
  unit: z.string(),
});

const sizeSchema = z.strictObject({ size: z.string(), sizeUnit: z.string(), parallelSets: z.int() });

const standingSchema = z.strictObject({
  parts: z.array(
    z.strictObject({
      equipmentId: z.string(),
      label: z.string(),
      demandVa: z.number(),
      assessment: z.enum(['within', 'over', 'notAssessed']),
      limits: z.array(limitSchema),
      deviceNeededA: z.number().nullable(),
      conductorNeeded: sizeSchema.nullable(),
    }),
  ),
  worstVolts: z.strictObject({ outletId: z.string(), between: z.string(), share: z.number() }).nullable(),
  volts: z
    .array(
      z.strictObject({
        outletId: z.string(),
        label: z.string(),
        between: z.string().nullable().describe('The pair that is lowest for its nominal volts.'),
        voltageV: z.number().nullable().describe('Null where it could not be assessed; never read it as enough.'),
        nominalV: z.number().nullable(),
        assessment: z
          .enum(['assessed', 'atBest', 'notAssessed'])
          .describe('`atBest`: load of the same service is unknown, so that volts may be lower.'),
      }),
    )
    .describe('Of every shore-power outlet at the worst hour.'),
  leakage: z.array(
    z.strictObject({
      equipmentId: z.string(),
      label: z.string(),
      settingMa: z.number().nullable(),
      boats: z.int(),
      expectedMa: z.number(),
      assessment: z.enum(['within', 'mayTrip', 'over', 'notAssessed']),
    }),
  ),
});

export const comparisonSchema = z
  .strictObject({
    chosen: z.array(z.string()).describe('With what they require.'),
    currency,
    cost: z.string().describe('Of the changes and what they oblige to.'),
    costOfObligations: z.string(),
    yearlyPayment: z.string().nullable(),
    before: standingSchema,
    after: standingSchema,
    mended: z.array(findingSchema),
    remaining: z.array(findingSchema),
    added: z.array(findingSchema),
    obliged: z
      .array(findingSchema)
      .describe('What the edition asks of things touched: to be confirmed by the authority.'),
    obligations: z
      .array(z.strictObject({ ...obligationSchema.shape, due: z.boolean(), toBeConfirmed: z.boolean() }))
      .describe(
        'What was entered for it, with its cost; due: these changes bring it. To be confirmed by the authority.',
      ),
    rulesNotPriced: z
      .array(z.string())
      .describe('Rules of `obliged` for which no due obligation is entered: their cost is in no total.'),
    assumptions: z.array(z.string()),
    cautions: z.array(z.string()),
  })
  .meta({ id: 'StudyComparison' });

const chosen = z.array(inventoryId).max(200).nullable().describe('Ids of changes; null: all of them.');

export const replayInputSchema = z.strictObject({
  chosen,
  from: instant,
  until: instant,
  growth: z.number().min(-0.9).max(5).default(0).describe('0.1: a tenth more calls.'),
  longerThanM: z.number().min(0).max(500).default(0),
  longerFactor: z
    .number()
    .min(0)
    .max(10)
    .default(1)
    .describe('Boats longer than `longerThanM` call so many times as often.'),
  seasons: z.int().min(0).max(20).default(0).describe('Seasons drawn at random, for ranges.'),
  seed: z.int().min(0).max(4_294_967_295).default(1),
  construction: z
    .strictObject({
      from: instant.describe('When building begins.'),
      order: z
        .enum(['oneAfterAnother', 'atOnce'])
        .default('oneAfterAnother')
        .describe('In the order of need, each for the days out of service that it states.'),
    })
    .nullable()
    .default(null)
    .describe('The season in which the changes are built; null: not asked.'),
});

const counts = z.record(z.string(), z.number());
const replaySchema = z.strictObject({
  requests: z.int(),
  served: z.int(),
  turnedAway: z.int(),
  nightsServed: z.int(),
  nightsByService: counts,
  nightsTurnedAway: z.int(),
  nightsTurnedAwayByRule: counts,
  nightsUnconfirmed: z.int(),
  adapterNights: z.int(),
  income: z.string().nullable().describe('Before tax; null without a tariff.'),
  staysNotWhollyCharged: z.int(),
  peaks: z.array(
    z.strictObject({
      equipmentId: z.string(),
      label: z.string(),
      ratedVa: z.number(),
      largestShare: z.number().nullable(),
    }),
  ),
});
const rangeSchema = z.strictObject({ low: z.number(), expected: z.number(), high: z.number() });

const differenceSchema = z.strictObject({
  nightsServed: z.number(),
  nightsTurnedAway: z.number(),
  adapterNights: z.number(),
  nightsUnconfirmed: z.number(),
  income: z.string().nullable(),
  nightsByService: counts,
  nightsTurnedAwayByRule: counts,
  newlyServed: z.array(z.string()),
  newlyTurnedAway: z.array(z.string()),
});

export const replayedSchema = z
  .strictObject({
    before: replaySchema,
    after: replaySchema,
    difference: differenceSchema,
    construction: z
      .strictObject({
        closings: z
          .array(
            z.strictObject({
              changeId: z.string(),
              from: z.iso.datetime(),
              until: z.iso.datetime(),
              outletIds: z.array(z.string()),
              unitIds: z.array(z.string()),
            }),
          )
          .describe('What each change closes, and when.'),
        replay: replaySchema.describe('The season on the present inventory with those closings.'),
        difference: differenceSchema.describe('Against doing nothing, which is `before`.'),
      })
      .nullable()
      .default(null),
    afterPayment: z
      .strictObject({
        recorded: z.string().describe('Of the season as it was recorded.'),
        low: z.string().nullable(),
        expected: z.string().nullable(),
        high: z.string().nullable(),
      })
      .nullable()
      .default(null)
      .describe(
        'Added income of the season less the yearly payment; below zero it does not pay it. Null without a tariff, a loan, or in two currencies.',
      ),
    ranges: z
      .strictObject({
        seasons: z.int(),
        nightsServed: rangeSchema,
        addedIncome: z.strictObject({ low: z.string(), expected: z.string(), high: z.string() }).nullable(),
      })
      .nullable()
      .describe('Added nights and income a season: the tenth, fiftieth and ninetieth of a hundred.'),
    yearlyPayment: z.string().nullable(),
    currency,
    assumptions: z.array(z.string()),
    cautions: z.array(z.string()),
  })
  .meta({ id: 'StudyReplay' });

export const choiceInputSchema = z.strictObject({
  benefits: z
    .array(z.strictObject({ id: inventoryId, value: z.number().min(0).max(1e6), needs: z.array(inventoryId).max(50) }))
    .max(500)
    .describe('What is gained a year where all that it needs is made.'),
  stages: z
    .array(z.strictObject({ id: inventoryId, budget: decimal, benefitYears: z.number().min(0).max(100) }))
    .min(1)
    .max(10),
  runnersUp: z.int().min(0).max(10).default(3),
  curvePoints: z.int().min(0).max(40).default(10),
  verifyOver: z
    .strictObject({ from: instant, until: instant })
    .nullish()
    .describe(
      'Season over which the finalists of a choice that is kept (a run) are replayed; left out: the year before it is asked for; null: none.',
    ),
});

const setSchema = z.strictObject({
  stageOf: z.record(z.string(), z.string()),
  benefit: z.number(),
  cost: z.string(),
});

const verificationSchema = z.strictObject({
  state: z
    .enum(['notAsked', 'notYet', 'verified'])
    .describe('`notYet`: the benefits are those of the model alone. A choice that is kept (a run) verifies them.'),
  from: z.iso.datetime().nullable(),
  until: z.iso.datetime().nullable(),
  calls: z.int().describe('Requests of that season. Without any, a replay says nothing.'),
  finalists: z
    .array(
      z.strictObject({
        place: z.int().describe('0: the best; 1, 2, ...: that runner-up.'),
        stageId: z.string().describe('After this stage.'),
        chosen: z.array(z.string()).describe('Changes made by then.'),
        addedNights: z.number().nullable().describe('Against the present inventory, over that season.'),
        nightsTurnedAway: z.number().nullable(),
        addedIncome: z.string().nullable().describe('Null without a tariff.'),
        failure: z.string().nullable().describe('Why this set cannot be replayed.'),
      }),
    )
    .describe('The best after each stage, runners-up after the last.'),
  orderHolds: z
    .boolean()
    .nullable()
    .describe('No runner-up serves more nights in the replay than the best does. Null where that is unknown.'),
});

export const notVerified: z.output<typeof verificationSchema> = {
  state: 'notYet',
  from: null,
  until: null,
  calls: 0,
  finalists: [],
  orderHolds: null,
};

export const chosenSchema = z
  .strictObject({
    model: z.string(),
    best: setSchema.nullable(),
    runnersUp: z.array(
      z.strictObject({
        ...setSchema.shape,
        added: z.array(z.string()),
        leftOut: z.array(z.string()),
        benefitLost: z.number(),
        costSaved: z.string(),
      }),
    ),
    curve: z.array(z.strictObject({ budget: z.string(), ...setSchema.shape })),
    verification: verificationSchema.default(notVerified),
    currency,
  })
  .meta({ id: 'StudyChoice' });

export const newRunSchema = z
  .strictObject({ replay: replayInputSchema.optional(), choice: choiceInputSchema.optional() })
  .refine(
    ({ replay, choice }) => (replay === undefined) !== (choice === undefined),
    'Ask for a replay or for a choice.',
  );

export const studyRunSchema = z
  .strictObject({
    id,
    kind: z.enum(['replay', 'choice']),
    asked: z.strictObject({ replay: replayInputSchema.nullable(), choice: choiceInputSchema.nullable() }),
    studyVersion: z.int(),
    isCurrent: z.boolean().describe('Whether the study is still as it was when this was asked for.'),
    state: z.enum(['running', 'done', 'failed']),
    progress: z.number().min(0).max(1),
    failure: z.string().nullable(),
    askedAt: z.iso.datetime(),
    endedAt: z.iso.datetime().nullable(),
    replay: replayedSchema.nullable().describe('What a replay came to.'),
    choice: chosenSchema.nullable().describe('What a choice came to.'),
  })
  .meta({ id: 'StudyRun' });
