import { z } from 'zod';
import { electricalCautions } from '../../core/cautions.ts';
import { fromPolar } from '../../core/electrical/complex.ts';
import { combinerResidualA, neutralA } from '../../core/electrical/hook-up/combined-currents.ts';
import { definePublicRoute } from '../http/route.ts';

const leg = z.strictObject({
  currentA: z.number().min(0).max(100_000),
  angleDeg: z.number().min(-360).max(360),
});

const resultSchema = z
  .strictObject({
    neutralA: z.number().describe('In the neutral that both legs share.'),
    residualAtEachOutletA: z.number().describe('Seen by the ground-fault device of each outlet.'),
    cautions: z.array(z.string()),
  })
  .meta({ id: 'CombinedCurrentsResult' });

export const combinedCurrents = definePublicRoute({
  method: 'POST',
  url: '/v1/calculations/combined-currents',
  operationId: 'calculateCombinedCurrents',
  summary: 'Calculate neutral and residual current where two outlets feed one inlet',
  description:
    'Stores nothing. By Kirchhoff, with equal neutral paths and no other load. The example is worked by hand: 20 A and ' +
    '10 A on opposite lines leave 10 A in the neutral and 15 A residual at each outlet, so that its device trips.',
  tag: 'Calculations',
  body: z.strictObject({ leg1: leg, leg2: leg }).meta({ id: 'CombinedCurrentsCalculation' }),
  example: { leg1: { currentA: 20, angleDeg: 0 }, leg2: { currentA: 10, angleDeg: 180 } },
  response: { 200: resultSchema },
}).handle(async ({ body }) => {
  const leg1 = fromPolar(body.leg1.currentA, body.leg1.angleDeg);
  const leg2 = fromPolar(body.leg2.currentA, body.leg2.angleDeg);
  return {
    status: 200,
    body: {
      neutralA: neutralA([leg1, leg2]),
      residualAtEachOutletA: combinerResidualA(leg1, leg2),
      cautions: electricalCautions,
    },
  };
});
