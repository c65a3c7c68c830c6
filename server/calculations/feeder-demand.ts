import { z } from 'zod';
import { electricalCautions } from '../../core/cautions.ts';
import {
  type CalculatedDemand,
  calculateDemand,
  type DemandInput,
} from '../../core/electrical/demand/calculate-demand.ts';
import type { Finding, Subject } from '../../core/findings.ts';
import type { LineName } from '../../core/standards/configuration.ts';
import type { DemandPractice } from '../../core/standards/demand-practice.ts';
import { demandPractice, demandPractices } from '../../core/standards/demand-practices.ts';
import type { SupplySystem } from '../../core/standards/supply-system.ts';
import { supplySystem, supplySystems } from '../../core/standards/supply-systems.ts';
import { appliedFactorSchema, channelDemandSchema } from '../demand/schema.ts';
import { type InputError, Problem } from '../errors.ts';
import { line } from '../http/fields.ts';
import { findingSchema } from '../http/finding-schema.ts';
import { definePublicRoute } from '../http/route.ts';
import { lineName, practiceSchema } from '../inventory/schema.ts';
import { requireSoundKinds } from './own-kinds.ts';

const va = z.number().min(0).max(1e9);
const mostReceptacles = 5_000;

const inputSchema = z
  .strictObject({
    systemId: z.string().min(1).max(64),
    practiceId: z.string().min(1).max(64).default('nec-555-2020').describe('A built-in practice.'),
    practice: practiceSchema.nullable().default(null).describe('A practice of your own, in place of a built-in one.'),
    countingBasis: z.enum(['all', 'mostLoadedLine']).default('all'),
    receptacles: z
      .array(
        z.strictObject({
          count: z.number().int().min(1).max(mostReceptacles),
          ratedA: z.number().positive().max(10_000),
          lineContacts: z.union([z.literal(1), z.literal(2), z.literal(3)]),
          hasNeutral: z.boolean().default(true),
          lines: z
            .array(lineName)
            .min(1)
            .max(3)
            .nullable()
            .default(null)
            .describe('Null is unknown: then each counts on every line it could be on.'),
          slipGroup: line(80)
            .nullable()
            .default(null)
            .describe('Two groups of one name serve the same slips, one receptacle each: for the two-voltage rule.'),
        }),
      )
      .max(200),
    otherLoadVa: z
      .strictObject({ L1: va.exactOptional(), L2: va.exactOptional(), L3: va.exactOptional() })
      .default({})
      .describe('Load outside the factor, line to neutral.'),
    subMetered: z.boolean().default(false).describe('Each slip has its own energy meter.'),
  })
  .meta({ id: 'FeederDemandCalculation' });

type Input = z.output<typeof inputSchema>;

const perLine = z.strictObject({
  L1: z.number().exactOptional(),
  L2: z.number().exactOptional(),
  L3: z.number().exactOptional(),
});

const loadSchema = z.strictObject({
  demandVa: z.number(),
  balancedA: z.number().describe('Amperes a line if the demand is spread evenly.'),
  lineA: perLine.describe('Amperes by line as the receptacles stand.'),
  appliedFactor: appliedFactorSchema,
});

const resultSchema = z
  .strictObject({
    receptacles: z.int().describe('Counted, after the two-voltage rule.'),
    connectedVa: z.number(),
    connectedLineA: perLine,
    design: loadSchema.describe('By the table as printed.'),
    admission: z
      .strictObject({ ...loadSchema.shape, channels: z.array(channelDemandSchema) })
      .describe(
        'All in use at once: the largest of factor(k) times the k largest ratings. It never falls when one is added.',
      ),
    step: z
      .strictObject({
        count: z.int(),
        demandVa: z.number(),
        otherCount: z.int(),
        otherDemandVa: z.number(),
      })
      .nullable()
      .describe('A step of the table nearby, where fewer receptacles give more demand than more of them.'),
    findings: z.array(findingSchema).describe('What is to be confirmed before the amperes by line hold.'),
    cautions: z.array(z.string()),
  })
  .meta({ id: 'FeederDemandResult' });

export const feederDemand = definePublicRoute({
  method: 'POST',
  url: '/v1/calculations/feeder-demand',
  operationId: 'calculateFeederDemand',
  summary: 'Calculate the demand of receptacles on one supply',
  description:
    'Stores nothing. The example is a published one (24 of 30 A and 11 of 20 A at 120/240 V): 112,800 VA connected, ' +
    'factor 0.6, 67,680 VA, 282 A.',
  tag: 'Calculations',
  body: inputSchema,
  example: {
    systemId: '120/240-split-phase',
    receptacles: [
      { count: 24, ratedA: 30, lineContacts: 1 },
      { count: 11, ratedA: 20, lineContacts: 1 },
    ],
  },
  response: { 200: resultSchema },
  problems: ['faulty-document'],
}).handle(async ({ body }) => {
  const system = supplySystem(body.systemId);
  const practice = practiceOf(body);
  if (system === null || practice === null) throw unknownIds(system, practice, body);
  const errors = lineErrors(body, system);
  if (errors.length > 0) throw new Problem('invalid-input', errors[0]?.message ?? '', { errors });
  const { receptacles, countingBasis, otherLoadVa, subMetered } = body;
  const result = calculated({ system, practice, countingBasis, receptacles, otherLoadVa, subMetered });
  return {
    status: 200,
    body: { ...result, findings: unknownLines(receptacles, system), cautions: electricalCautions },
  };
});

/** Groups whose amperes by line are only an upper bound. One that takes all lines of its supply leaves no choice. */
function unknownLines(receptacles: Input['receptacles'], system: SupplySystem): Finding[] {
  return receptacles.flatMap(({ lines, lineContacts, count, ratedA }, i): Finding[] => {
    if (lines !== null || lineContacts === system.lines.length) return [];
    const group = `${count} receptacle${count === 1 ? '' : 's'} of ${ratedA} A`;
    const subject: Subject = { kind: 'outlet', id: `receptacles/${i}`, label: group };
    return [
      {
        rule: 'demand.unknownLines',
        level: 'confirm',
        subject,
        actual: null,
        limit: null,
        unit: null,
        source: 'the request',
        message: `The lines of ${group} are unknown, so each counts on every line it could be on and the amperes by line are upper bounds. Say which lines they are on.`,
        missingFact: {
          subject,
          fact: `receptacles.${i}.lines`,
          question: `Which lines are the ${group} on?`,
        },
      },
    ];
  });
}

function practiceOf({ practice, practiceId }: Input): DemandPractice | null {
  if (practice === null) return demandPractice(practiceId);
  requireSoundKinds({ practices: [practice] }, (pointer) => pointer.replace('/practices/0', '/practice'));
  return practice;
}

function unknownIds(system: SupplySystem | null, practice: DemandPractice | null, body: Input): Problem {
  const errors: InputError[] = [];
  const add = (pointer: string, what: string, id: string, known: readonly { readonly id: string }[]) => {
    const ids = known.map((each) => each.id).join(', ');
    errors.push({ in: 'body', pointer, message: `There is no ${what} "${id}". Use one of: ${ids}.` });
  };
  if (system === null) add('/systemId', 'supply system', body.systemId, supplySystems);
  if (practice === null) add('/practiceId', 'built-in practice', body.practiceId, demandPractices);
  return new Problem('invalid-input', errors.map(({ message }) => message).join(' '), { errors });
}

/** Lines that do not fit: core would take them as unknown, a calculator says so instead. */
function lineErrors({ receptacles, otherLoadVa }: Input, system: SupplySystem): InputError[] {
  const errors: InputError[] = [];
  const add = (pointer: string, message: string) => errors.push({ in: 'body', pointer, message });
  const names = system.lines.map(({ name }) => name);
  const has = (name: LineName) => names.includes(name);
  let total = 0;
  receptacles.forEach(({ count, lines, lineContacts }, i) => {
    total += count;
    if (lines === null) return;
    const at = `/receptacles/${i}/lines`;
    if (new Set(lines).size !== lineContacts || lines.length !== lineContacts) {
      add(at, `${lineContacts} line contacts need ${lineContacts} different lines, not ${lines.join(', ')}.`);
    } else if (!lines.every(has)) {
      add(at, `${system.name} has ${names.join(', ')}, not all of ${lines.join(', ')}.`);
    }
  });
  for (const name of ['L1', 'L2', 'L3'] as const) {
    if (otherLoadVa[name] !== undefined && !has(name)) {
      add(`/otherLoadVa/${name}`, `${system.name} has ${names.join(', ')}, no ${name}.`);
    }
  }
  if (total > mostReceptacles) add('/receptacles', `${total} receptacles in all are more than ${mostReceptacles}.`);
  return errors;
}

function calculated(input: DemandInput): CalculatedDemand {
  try {
    return calculateDemand(input);
  } catch (error) {
    if (!(error instanceof RangeError)) throw error;
    const errors: InputError[] = [{ in: 'body', pointer: '/receptacles', message: error.message }];
    throw new Problem('invalid-input', error.message, { errors });
  }
}
