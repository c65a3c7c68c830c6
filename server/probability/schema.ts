import { z } from 'zod';
import type { LineName } from '../../core/standards/configuration.ts';
import { partsOfDay } from '../../core/upgrades/probability/duty-cycles.ts';
import type { PartChances } from '../../core/upgrades/probability/part-chances.ts';
import { assessment, limit, perLine } from '../demand/schema.ts';
import { instant } from '../http/fields.ts';
import { lineName } from '../inventory/schema.ts';

export const partOfDay = z.enum(partsOfDay);
export const season = z.enum(['summer', 'winter', 'either']);
const share = z.number().min(0).max(1);
const currentsA = perLine(z.number()).describe('A on each line while one of them is on.');

const step = 'Grain of the convolution, A; left out: 0.1, or as fine as the work allows.';
const draws = 'Moments drawn by the simulation; 0: none.';
const seed = 'The same seed draws the same moments.';

/** How exactly it is counted, in a body. */
export const countFields = {
  stepA: z.number().min(0.001).max(10).optional().describe(step),
  draws: z.int().min(0).max(200_000).default(20_000).describe(draws),
  seed: z.int().min(0).max(4_294_967_295).default(1).describe(seed),
};

/** The same in a query, where every value is text. */
const countQuery = {
  stepA: z.coerce.number().min(0.001).max(10).optional().describe(step),
  draws: z.coerce.number().int().min(0).max(200_000).default(20_000).describe(draws),
  seed: z.coerce.number().int().min(0).max(4_294_967_295).default(1).describe(seed),
};

export const probabilityQuery = z.strictObject({
  equipmentId: z.string().min(1).max(100),
  at: instant.optional().describe('Who is plugged in is read for this moment; left out: now.'),
  boats: z
    .enum(['inUse', 'everyOutlet'])
    .default('inUse')
    .describe('`everyOutlet`: the free shore-power outlets have boats too, assumed by the rating.'),
  season: season.default('either').describe('`either`: the larger duty cycle of each appliance.'),
  partOfDay: partOfDay.optional().describe('Left out: by the marina’s clocks at that moment.'),
  ...countQuery,
});

const simulatedChance = z.strictObject({
  chance: share,
  standardError: z.number().min(0).describe('About two in three such runs come within one of it.'),
});

const limitOfLine = { kind: z.string(), limitA: z.number() };

export const chancesSchema = z.strictObject({
  exact: z
    .array(
      z.strictObject({
        line: lineName,
        stepA: z.number().describe('Grain of the currents, A.'),
        connectedA: z.number().describe('Everything on at once.'),
        meanA: z.number(),
        standardDeviationA: z.number(),
        notPassed: z
          .array(z.strictObject({ chance: share, amperes: z.number() }))
          .describe('Amperes that are not passed in so many of such moments.'),
        limits: z.array(
          z.strictObject({
            ...limitOfLine,
            chanceAbove: z
              .strictObject({ atLeast: share, atMost: share })
              .describe('Currents rounded down and up to whole steps; the same where they are whole steps.'),
          }),
        ),
      }),
    )
    .describe('By convolution: exact but for the step.'),
  simulated: z
    .strictObject({
      draws: z.int(),
      limits: z.array(
        z.strictObject({
          ...limitOfLine,
          byLine: perLine(simulatedChance),
          anyLine: simulatedChance.describe('On any line at once: what trips a breaker of several poles.'),
        }),
      ),
    })
    .nullable()
    .describe('By drawing moments, with its error; null where none was asked for.'),
});

export const partChancesSchema = z
  .strictObject({
    equipmentId: z.string(),
    label: z.string(),
    boats: z.int().describe('Boats counted, on this part or elsewhere.'),
    loads: z.array(
      z.strictObject({
        label: z.string(),
        count: z.int(),
        chance: share.describe('That one of them is on.'),
        currentsA,
      }),
    ),
    ...chancesSchema.shape,
    limitsNotAssessed: z
      .array(z.string())
      .describe('Limits of the part that the chances say nothing of. Never read them as kept.'),
    unknownOutletIds: z
      .array(z.string())
      .describe('Outlets in use whose load on this part is unknown: the chances are then at least what is shown.'),
    demandFactor: z
      .strictObject({
        demandVa: z.number(),
        currentsA: perLine(z.number()),
        limits: z.array(z.strictObject(limit)),
        assessment,
      })
      .describe('The same outlets by their ratings and the practice’s factor.'),
    assumptions: z.array(z.string()),
  })
  .meta({ id: 'PartChances' });

export function partChancesToApi(found: PartChances, boats: number): z.output<typeof partChancesSchema> {
  const { demandFactor, loads, exact, simulated, notAssessed, unknownOutletIds, assumptions } = found;
  return {
    equipmentId: demandFactor.equipmentId,
    label: demandFactor.label,
    boats,
    loads: loads.map(({ label, count, chance, lineA }) => ({ label, count, chance, currentsA: { ...lineA } })),
    ...chancesToApi({ exact, simulated }),
    limitsNotAssessed: [...notAssessed],
    unknownOutletIds: [...unknownOutletIds],
    demandFactor: {
      demandVa: demandFactor.demandVa.value,
      currentsA: amperesOf(demandFactor.lineA),
      limits: demandFactor.limits.map(({ at: _, ...check }) => check),
      assessment: demandFactor.assessment,
    },
    assumptions: [...assumptions],
  };
}

function amperesOf(peaks: PartChances['demandFactor']['lineA']): Partial<Record<LineName, number>> {
  return Object.fromEntries(Object.entries(peaks).map(([line, { value }]) => [line, value]));
}

export function chancesToApi({
  exact,
  simulated,
}: Pick<PartChances, 'exact' | 'simulated'>): z.output<typeof chancesSchema> {
  return {
    exact: exact.map(({ notPassed, limits, ...line }) => ({
      ...line,
      notPassed: [...notPassed],
      limits: [...limits],
    })),
    simulated:
      simulated === null
        ? null
        : {
            draws: simulated.draws,
            limits: simulated.limits.map(({ byLine, ...limit }) => ({ ...limit, byLine: { ...byLine } })),
          },
  };
}
