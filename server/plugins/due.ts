import type { FastifyInstance } from 'fastify';
import type { Services } from '../services.ts';

/** Before a request of a marina is handled, what the clock has brought there is made true. */
export function addDue(app: FastifyInstance, { due, clock }: Pick<Services, 'due' | 'clock'>): void {
  app.addHook('preHandler', async ({ principal }) => {
    if (principal !== null) await due.catchUp(principal.marinaId, clock());
  });
}
