import { z } from 'zod';
import { electricalCautions } from '../../core/cautions.ts';
import type { LineName } from '../../core/standards/configuration.ts';
import { dutyCycleOf, dutyCycleSource } from '../../core/upgrades/probability/duty-cycles.ts';
import { exactChances, feasibleStepA } from '../../core/upgrades/probability/exact.ts';
import { simulateChances } from '../../core/upgrades/probability/simulate.ts';
import { seededChance } from '../../core/upgrades/random.ts';
import { perLine } from '../demand/schema.ts';
import { Problem } from '../errors.ts';
import { line } from '../http/fields.ts';
import { definePublicRoute } from '../http/route.ts';
import { lineName } from '../inventory/schema.ts';
import { chancesSchema, chancesToApi, countFields, partOfDay, season } from '../probability/schema.ts';

const inputSchema = z
  .strictObject({
    lines: z.array(lineName).min(1).max(3).default(['L1']),
    season: season.default('either').describe('For duty cycles by name.'),
    partOfDay: partOfDay.default('afternoon').describe('For duty cycles by name.'),
    loads: z
      .array(
        z.strictObject({
          label: line(100),
          count: z.int().min(0).max(1000),
          chance: z
            .number()
            .min(0)
            .max(1)
            .nullable()
            .default(null)
            .describe(
              'That one of them is on; null: by the table of duty cycles, and 1 where it does not know the name.',
            ),
          currentsA: perLine(z.number().min(0).max(10_000)),
        }),
      )
      .max(500),
    limits: z.array(z.strictObject({ kind: line(50), limitA: z.number().min(0).max(100_000) })).max(20),
    ...countFields,
  })
  .meta({ id: 'LoadProbabilityCalculation' });

const resultSchema = z
  .strictObject({
    ...chancesSchema.shape,
    assumptions: z.array(z.string()),
    cautions: z.array(z.string()),
  })
  .meta({ id: 'LoadProbabilityResult' });

export const loadProbability = definePublicRoute({
  method: 'POST',
  url: '/v1/calculations/load-probability',
  operationId: 'calculateLoadProbability',
  summary: 'Calculate the chance that loads which are on or off by chance pass a limit',
  description:
    'Stores nothing. By exact convolution, and by simulation with its error. The example is worked by hand: of five loads of 10 A, each on half of the time, more than three are on in 6 of 32 moments, so 30 A are passed with the chance 0.1875.',
  tag: 'Calculations',
  body: inputSchema,
  example: {
    loads: [{ label: 'water heater', count: 5, chance: 0.5, currentsA: { L1: 10 } }],
    limits: [{ kind: 'breaker', limitA: 30 }],
  },
  response: { 200: resultSchema },
}).handle(async ({ body }) => {
  const { lines, limits, draws, seed } = body;
  const assumptions = new Set<string>();
  const errors = body.loads.flatMap(({ currentsA }, i) =>
    Object.keys(currentsA).flatMap((name) =>
      lines.some((each) => each === name)
        ? []
        : [
            {
              in: 'body' as const,
              pointer: `/loads/${i}/currentsA/${name}`,
              message: `"lines" does not name ${name}.`,
            },
          ],
    ),
  );
  if (errors.length > 0) throw new Problem('invalid-input', errors[0]?.message ?? '', { errors });
  const work = body.loads.reduce((sum, { count }) => sum + count, 0) * draws;
  if (work > mostWork) throw faulty('/draws', `${work} loads drawn are more than ${mostWork}. Ask for fewer draws.`);
  const loads = body.loads.map(({ label, count, chance, currentsA }) => {
    const cycle = chance === null ? dutyCycleOf(label, body.season, body.partOfDay) : null;
    if (cycle !== null)
      assumptions.add(`Duty cycle of "${label}" as "${cycle.name}": ${cycle.chance} (${dutyCycleSource}).`);
    else if (chance === null) assumptions.add(`"${label}" is not in the table of duty cycles and counts as always on.`);
    const lineA: Partial<Record<LineName, number>> = currentsA;
    return { label, count, chance: chance ?? cycle?.chance ?? 1, lineA };
  });
  assumptions.add('Loads are on or off independently of each other.');
  try {
    return {
      status: 200,
      body: {
        ...chancesToApi({
          exact: exactChances(loads, lines, limits, body.stepA ?? feasibleStepA(loads, lines)),
          simulated: draws === 0 ? null : simulateChances(loads, lines, limits, draws, seededChance(seed)),
        }),
        assumptions: [...assumptions],
        cautions: electricalCautions,
      },
    };
  } catch (error) {
    if (error instanceof RangeError) throw faulty('/stepA', error.message);
    throw error;
  }
});

/** Loads times moments: about a second of one processor. */
const mostWork = 50_000_000;

function faulty(pointer: string, message: string): Problem {
  return new Problem('invalid-input', message, { errors: [{ in: 'body', pointer, message }] });
}
