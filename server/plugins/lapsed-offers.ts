import type { FastifyInstance } from 'fastify';
import type { Services } from '../services.ts';
import { createLapsedOffers } from '../stays/lapsed-offers.ts';

/** Before a request of a marina is handled, offers of that marina that have lapsed are withdrawn. */
export function addLapsedOffers(app: FastifyInstance, { db, clock }: Pick<Services, 'db' | 'clock'>): void {
  const offers = createLapsedOffers(db);
  app.addHook('preHandler', async ({ principal }) => {
    if (principal !== null) await offers.withdraw(principal.marinaId, clock());
  });
}
