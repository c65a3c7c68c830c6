import { z } from 'zod';
import { Problem } from '../errors.ts';
import { definePublicRoute, type RouteDefinition } from '../http/route.ts';

const health = z.strictObject({ status: z.literal('ok') }).meta({ id: 'Health' });

export const routes: RouteDefinition[] = [
  definePublicRoute({
    method: 'GET',
    url: '/health/live',
    operationId: 'readLiveness',
    summary: 'Say whether the process runs',
    tag: 'Health',
    response: { 200: health },
  }).handle(async () => ({ status: 200, body: { status: 'ok' } })),
  definePublicRoute({
    method: 'GET',
    url: '/health/ready',
    operationId: 'readReadiness',
    summary: 'Say whether the service takes requests: its database answers and it is not stopping',
    tag: 'Health',
    response: { 200: health },
    problems: ['unavailable'],
  }).handle(async (_input, { db, isStopping }) => {
    if (isStopping()) throw unavailable('The service is stopping.');
    try {
      await db.pool.query('SELECT 1');
    } catch {
      throw unavailable('The database does not answer.');
    }
    return { status: 200, body: { status: 'ok' } };
  }),
];

function unavailable(detail: string): Problem {
  return new Problem('unavailable', detail, { headers: { 'retry-after': '2' } });
}
