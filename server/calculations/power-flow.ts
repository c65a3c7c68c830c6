import type { z } from 'zod';
import { electricalCautions } from '../../core/cautions.ts';
import { angleDeg, type Complex, magnitude } from '../../core/electrical/complex.ts';
import { solvePowerFlow } from '../../core/electrical/power-flow/power-flow.ts';
import { type PowerFlowSolution, voltageBetween } from '../../core/electrical/power-flow/results.ts';
import { definePublicRoute } from '../http/route.ts';
import { networkSchema, resultSchema } from './power-flow-schema.ts';

type Pair = z.output<typeof networkSchema>['voltagesBetween'][number];

export const powerFlow = definePublicRoute({
  method: 'POST',
  url: '/v1/calculations/power-flow',
  operationId: 'calculatePowerFlow',
  summary: 'Solve a network for its volts, amperes and losses',
  description:
    'Stores nothing. Unbalanced, with any number of conductors and an explicit neutral. The example is a published one ' +
    '(Kersting, Distribution System Modeling and Analysis, example 11.1): a 50 kVA centre-tapped transformer with unequal ' +
    '120 V loads and a 240 V load has 118.008 V and 117.853 V on its legs, 179.6 A and 220.4 A in them.',
  tag: 'Calculations',
  body: networkSchema,
  example: {
    elements: [
      { kind: 'source', id: 's', plus: '1.A', minus: '0', voltageV: 7200, angleDeg: 0 },
      {
        kind: 'transformer',
        id: 'T',
        windings: [
          { name: 'h', plus: '1.A', minus: '0', ratedV: 7200, resistanceOhm: 5.7024, reactanceOhm: 14.92992 },
          { name: 'x1', plus: '2.1', minus: '0', ratedV: 120, resistanceOhm: 0.003168, reactanceOhm: 0.0020736 },
          { name: 'x2', plus: '0', minus: '2.2', ratedV: 120, resistanceOhm: 0.003168, reactanceOhm: 0.0020736 },
        ],
      },
      {
        kind: 'load',
        id: 'L1',
        from: '2.1',
        to: '0',
        demand: { model: 'constantImpedance', resistanceOhm: 1.4, reactanceOhm: 0.5 },
      },
      {
        kind: 'load',
        id: 'L2',
        from: '0',
        to: '2.2',
        demand: { model: 'constantImpedance', resistanceOhm: 0.9, reactanceOhm: 0.4 },
      },
      {
        kind: 'load',
        id: 'L12',
        from: '2.1',
        to: '2.2',
        demand: { model: 'constantImpedance', resistanceOhm: 2, reactanceOhm: 1.2 },
      },
    ],
    voltagesBetween: [
      { from: '2.1', to: '0' },
      { from: '0', to: '2.2' },
      { from: '2.1', to: '2.2' },
    ],
  },
  response: { 200: resultSchema },
}).handle(async ({ body }) => {
  const result = solvePowerFlow(body);
  const figures = result.status === 'solved' ? figuresOf(result, body.voltagesBetween) : noFigures;
  const problems = result.status === 'solved' ? [] : result.problems;
  return { status: 200, body: { status: result.status, problems, ...figures, cautions: electricalCautions } };
});

type Result = z.output<typeof resultSchema>;
type Figures = Omit<Result, 'status' | 'problems' | 'cautions'>;

const noFigures: Figures = { iterations: null, terminals: [], voltagesBetween: [], elements: [], totals: null };

function figuresOf(solution: PowerFlowSolution, pairs: readonly Pair[]): Figures {
  const { iterations, terminals, elements, totals } = solution;
  return {
    iterations,
    terminals: [...terminals].map(([terminal, { reference, voltageV, fed }]) => ({
      terminal,
      reference,
      ...volts(voltageV),
      fed,
    })),
    voltagesBetween: pairs.map(({ from, to }) => {
      const between = voltageBetween(solution, from, to);
      return { from, to, ...(between === null ? { voltageV: null, angleDeg: null } : volts(between)) };
    }),
    elements: [...elements.values()].map(({ id, kind, currents, power, lossW, loading }) => ({
      id,
      kind,
      currents: currents.map(({ name, from, to, currentA, loading: share }) => ({
        name,
        from,
        to,
        currentA: magnitude(currentA),
        angleDeg: angleDeg(currentA),
        loading: share,
      })),
      taken: power,
      lossW,
      loading,
    })),
    totals,
  };
}

function volts(value: Complex): { voltageV: number; angleDeg: number } {
  return { voltageV: magnitude(value), angleDeg: angleDeg(value) };
}
