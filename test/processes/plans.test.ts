import { setTimeout as wait } from 'node:timers/promises';
import { afterEach, expect, test } from 'vitest';
import { openDatabase } from '../../server/db/client.ts';
import { createServerDatabase, freshFolder, testServerUrl } from '../support/database.ts';
import { createRaceMarina, rowOfSlips } from '../support/row-of-slips.ts';
import { builtService, type ServiceProcess, startService } from '../support/service-process.ts';

// The database of the run: the embedded one with nothing installed, PostgreSQL where a server is given.
const kinds = [
  testServerUrl === null
    ? { name: 'the embedded database', place: freshFolder }
    : { name: 'PostgreSQL', place: () => createServerDatabase(testServerUrl ?? '') },
];
if (testServerUrl === null) {
  console.log(
    'SIGKILL while a plan is made, on PostgreSQL: skipped. Set TEST_DATABASE_URL to one where databases may be created.',
  );
}

const cleanUp: (() => Promise<unknown>)[] = [];
afterEach(async () => {
  for (const step of cleanUp.splice(0).reverse()) await step();
});

test.each(kinds)('a plan whose service is killed is taken up by the next one: $name', async ({ place: makePlace }) => {
  const place = await makePlace();
  cleanUp.push(place.remove);
  const db = await openDatabase({
    databaseUrl: place.environment.DATABASE_URL ?? null,
    databasePoolSize: 2,
    dataDir: place.environment.DATA_DIR ?? '',
  });
  const token = await createRaceMarina(db, 'north', rowOfSlips({ slips: 8 }), 12).finally(() => db.close());
  const start = async () => {
    const service = await startService({ ...place.environment, RATE_LIMIT_PER_MINUTE: '0' }, builtService);
    cleanUp.push(() => service.end('SIGKILL'));
    return service;
  };
  const send = async (service: ServiceProcess, method: string, path: string, body?: unknown) => {
    const response = await fetch(`${service.address}/v1/marinas/north${path}`, {
      method,
      headers: {
        authorization: `Bearer ${token}`,
        ...(body === undefined ? {} : { 'content-type': 'application/json' }),
      },
      ...(body === undefined ? {} : { body: JSON.stringify(body) }),
    });
    const answer: unknown = await response.json();
    // A test reads what the API's own tests hold the shape of.
    return answer as { id: string; state: string; failure: string | null; result: { status: string } | null };
  };
  const until = async (service: ServiceProcess, id: string, states: readonly string[]) => {
    for (;;) {
      const plan = await send(service, 'GET', `/plans/${id}`);
      if (states.includes(plan.state)) return plan;
      await wait(50);
    }
  };

  const first = await start();
  const period = { from: '2031-06-09T00:00:00-05:00', until: '2031-06-16T00:00:00-05:00' };
  const asked = await send(first, 'POST', '/plans', { period, timeLimitS: 60 });
  await until(first, asked.id, ['running']);
  await first.end('SIGKILL');

  const second = await start();
  const plan = await until(second, asked.id, ['done', 'failed']);
  expect(plan).toMatchObject({ state: 'done', failure: null });
  expect(plan.result?.status).toBe('optimal');

  // Asked to end, it gives the plan back, and the next one takes it up at once.
  const next = await send(second, 'POST', '/plans', { period, timeLimitS: 60 });
  await until(second, next.id, ['running']);
  expect((await second.end('SIGTERM')).code).toBe(0);
  const third = await start();
  expect(await until(third, next.id, ['done', 'failed'])).toMatchObject({ state: 'done' });
});
