import type { FastifyInstance } from 'fastify';
import type { Services } from '../services.ts';

/** Before a request of a marina is handled, offers of that marina that have lapsed are withdrawn. */
export function addLapsedOffers(app: FastifyInstance, { offers, clock }: Pick<Services, 'offers' | 'clock'>): void {
  app.addHook('preHandler', async ({ principal }) => {
    if (principal !== null) await offers.withdraw(principal.marinaId, clock());
  });
}
