import { z } from 'zod';
import { line } from '../http/fields.ts';

const name = line(80);
const terminal = line(80).describe('Any name; it exists because an element names it. "0" is ground, at 0 V.');
// As large as the solver takes.
const figure = z.number().min(-1e15).max(1e15);
const amount = figure.describe('A figure that the solver cannot use is answered as a problem that names it.');
const ratedA = figure.exactOptional().describe('Without it no loading is given.');

/** Most conductors, windings or ports of one element. */
const mostParts = 8;
const matrix = z
  .array(z.array(figure).min(1).max(mostParts))
  .min(1)
  .max(mostParts)
  .describe('Row by row, in the order of the conductors or ports.');

const source = z
  .strictObject({
    kind: z.literal('source'),
    id: name,
    plus: terminal,
    minus: terminal,
    voltageV: amount,
    angleDeg: figure.default(0),
  })
  .describe('Ideal: V(plus) - V(minus) is fixed. Put an impedance in series for a source that is not stiff.')
  .meta({ id: 'PowerFlowSource' });

const conductors = z
  .strictObject({
    kind: z.literal('line'),
    id: name,
    conductors: z
      .array(z.strictObject({ name, from: terminal, to: terminal, ratedA }))
      .min(1)
      .max(mostParts),
    resistanceOhm: matrix,
    reactanceOhm: matrix,
  })
  .describe('Coupled conductors: V(from) - V(to) = Z I, totals for the whole length.')
  .meta({ id: 'PowerFlowLine' });

const impedance = z
  .strictObject({
    kind: z.literal('impedance'),
    id: name,
    from: terminal,
    to: terminal,
    resistanceOhm: amount,
    reactanceOhm: figure.default(0),
    ratedA,
  })
  .describe('One conductor, contact or earth electrode. 0 ohm is an ideal link.')
  .meta({ id: 'PowerFlowImpedance' });

const pole = z
  .strictObject({
    kind: z.literal('switch'),
    id: name,
    from: terminal,
    to: terminal,
    closed: z.boolean(),
    ratedA,
  })
  .describe('One pole: an ideal link when closed, nothing when open.')
  .meta({ id: 'PowerFlowSwitch' });

const transformer = z
  .strictObject({
    kind: z.literal('transformer'),
    id: name,
    windings: z
      .array(
        z.strictObject({
          name,
          plus: terminal,
          minus: terminal,
          ratedV: amount,
          resistanceOhm: amount.describe('Leakage resistance of this winding, on its own side.'),
          reactanceOhm: amount.describe('Leakage reactance of this winding, on its own side.'),
          ratedVa: figure.exactOptional().describe('Without it no loading is given.'),
        }),
      )
      .min(1)
      .max(mostParts),
    core: z
      .strictObject({
        winding: name.describe('The winding whose side the admittance is referred to.'),
        at: z.enum(['idealCore', 'windingTerminals']),
        conductanceS: amount,
        susceptanceS: amount.describe('Negative for a magnetizing current.'),
      })
      .exactOptional()
      .describe('No-load loss and magnetizing current.'),
  })
  .describe(
    'Windings on one ideal core: V(plus) - V(minus) = z I + ratedV E, one E for the unit. A three-phase bank is three ' +
      'units; a centre tap is two windings, (leg 1, n) and (n, leg 2).',
  )
  .meta({ id: 'PowerFlowTransformer' });

const admittance = z
  .strictObject({
    kind: z.literal('admittance'),
    id: name,
    ports: z
      .array(z.strictObject({ name, plus: terminal, minus: terminal }))
      .min(1)
      .max(mostParts),
    conductanceS: matrix,
    susceptanceS: matrix,
  })
  .describe('A linear device: I = Y V over its ports. One port is a shunt.')
  .meta({ id: 'PowerFlowAdmittance' });

const load = z
  .strictObject({
    kind: z.literal('load'),
    id: name,
    from: terminal,
    to: terminal,
    demand: z.discriminatedUnion('model', [
      z.strictObject({
        model: z.literal('constantPower'),
        powerW: amount,
        reactivePowerVar: figure.default(0).describe('Positive is lagging.'),
      }),
      z.strictObject({
        model: z.literal('constantCurrent'),
        powerW: amount,
        reactivePowerVar: figure.default(0).describe('Positive is lagging.'),
        ratedV: amount.describe('The volts at which the power is stated.'),
      }),
      z.strictObject({
        model: z.literal('constantImpedance'),
        resistanceOhm: amount,
        reactanceOhm: figure.default(0),
      }),
    ]),
  })
  .describe('Between any two terminals. Negative power is generation.')
  .meta({ id: 'PowerFlowLoad' });

export const mostElements = 2_000;

export const networkSchema = z
  .strictObject({
    elements: z
      .array(z.discriminatedUnion('kind', [source, conductors, impedance, pole, transformer, admittance, load]))
      .min(1)
      .max(mostElements),
    voltagesBetween: z
      .array(z.strictObject({ from: terminal, to: terminal }))
      .max(mostElements)
      .default([])
      .describe('Pairs of terminals whose volts are wanted, such as two lines or a line and its neutral.'),
  })
  .describe(
    'Terminals joined by elements, in sinusoidal steady state at one frequency. Volts and amperes are rms, reactances and ' +
      'susceptances at that frequency.',
  )
  .meta({ id: 'PowerFlowCalculation' });

const angleDeg = z.number().describe('Degrees, above -180 up to 180.');
const loading = z.number().nullable().describe('Share of what it is rated for: 1 is full load. Null without a rating.');
const power = z.strictObject({ powerW: z.number(), reactivePowerVar: z.number() });

export const resultSchema = z
  .strictObject({
    status: z
      .enum(['solved', 'invalid', 'singular', 'notConverged'])
      .describe(
        '`invalid`: the document cannot be solved as it stands. `singular`: it leaves something open. `notConverged`: no ' +
          'volts were found at which every load gets what it demands. Unless solved there is no figure, only problems.',
      ),
    problems: z.array(
      z.strictObject({
        reason: z.enum([
          'badValue',
          'duplicateId',
          'noSource',
          'deadLoad',
          'idealLoop',
          'tooMeshed',
          'undetermined',
          'noReturnPath',
          'collapse',
        ]),
        elementId: z.string().nullable(),
        terminal: z.string().nullable(),
        message: z.string(),
      }),
    ),
    iterations: z.int().nullable(),
    terminals: z.array(
      z.strictObject({
        terminal: z.string(),
        reference: z
          .string()
          .describe(
            'What the volts are counted from: "0", or a terminal of its own island where nothing ties it to ground.',
          ),
        voltageV: z.number(),
        angleDeg,
        fed: z.boolean().describe('Whether a source reaches it.'),
      }),
    ),
    voltagesBetween: z.array(
      z.strictObject({
        from: z.string(),
        to: z.string(),
        voltageV: z.number().nullable().describe('Null where a name is unknown or nothing settles the volts.'),
        angleDeg: angleDeg.nullable(),
      }),
    ),
    elements: z.array(
      z.strictObject({
        id: z.string(),
        kind: z.enum(['source', 'line', 'impedance', 'switch', 'transformer', 'admittance', 'load']),
        currents: z.array(
          z.strictObject({
            name: z.string(),
            from: z.string(),
            to: z.string(),
            currentA: z.number().describe('Flowing into it at `from`, out at `to`.'),
            angleDeg,
            loading,
          }),
        ),
        taken: power.describe('From its terminals; below zero for a source that feeds.'),
        lossW: z.number(),
        loading,
      }),
    ),
    totals: z
      .strictObject({ supplied: power, consumed: power, lost: power })
      .nullable()
      .describe('supplied = consumed + lost.'),
    cautions: z.array(z.string()),
  })
  .meta({ id: 'PowerFlowResult' });
