import { setTimeout as wait } from 'node:timers/promises';
import type { FastifyInstance } from 'fastify';
import { startPlanWorker } from '../../server/plans/plan-worker.ts';
import type { Services } from '../../server/services.ts';
import { call } from '../support/server.ts';

interface MakePlan {
  readonly app: FastifyInstance;
  readonly services: Services;
  readonly marinaId: string;
  /** Of a harbormaster. */
  readonly token: string;
  readonly period: { readonly from: string; readonly until: string };
}

/** Has a plan made, so that there is one to look at. Throws where it comes to nothing. */
export async function makePlan({ app, services, marinaId, token, period }: MakePlan): Promise<void> {
  const failures: unknown[] = [];
  const worker = await startPlanWorker(services, (error) => failures.push(error));
  try {
    const body = { period, timeLimitS: 20 };
    const asked = await call(app, token, 'POST', `/v1/marinas/${marinaId}/plans`, { body });
    if (asked.status !== 202) throw new Error(JSON.stringify(asked.body));
    for (;;) {
      const { body: plan } = await call(app, token, 'GET', String(asked.headers.location));
      if (plan.state === 'done') return;
      if (plan.state === 'failed' || failures.length > 0) throw new Error(`${plan.failure} ${failures.join('; ')}`);
      await wait(100);
    }
  } finally {
    await worker.stop();
  }
}
