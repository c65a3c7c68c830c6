import { request } from 'node:http';
import { afterEach, describe, expect, test } from 'vitest';
import { openDatabase } from '../../server/db/client.ts';
import { createMarina } from '../../server/marinas/create-marina.ts';
import { createServerDatabase, freshFolder, testServerUrl } from '../support/database.ts';
import { runToEnd, type ServiceProcess, startService } from '../support/service-process.ts';

const cleanUp: (() => Promise<unknown>)[] = [];
afterEach(async () => {
  for (const step of cleanUp.splice(0).reverse()) await step();
});

async function freshPlace() {
  const place = testServerUrl === null ? await freshFolder() : await createServerDatabase(testServerUrl);
  cleanUp.push(place.remove);
  return place;
}

async function started(environment: Readonly<Record<string, string>>): Promise<ServiceProcess> {
  const service = await startService(environment);
  cleanUp.push(async () => {
    if (service.process.exitCode === null && service.process.signalCode === null) await service.end('SIGKILL');
  });
  return service;
}

async function managerToken(environment: Readonly<Record<string, string>>): Promise<string> {
  const db = await openDatabase({
    databaseUrl: environment.DATABASE_URL ?? null,
    databasePoolSize: 2,
    dataDir: environment.DATA_DIR ?? '',
  });
  const marina = { id: 'north', name: 'North Quay', timeZone: 'America/Chicago', roles: ['manager'] } as const;
  const tokens = await createMarina(db, marina, Date.now());
  await db.close();
  return tokens[0]?.token ?? '';
}

describe('a start that cannot succeed ends with one line and code 2', () => {
  test.each([
    [{ PORT: 'eighty' }, /^PORT: "eighty" is not usable\. [^\n]+\n$/],
    [
      { DATABASE_URL: 'postgresql://nobody@127.0.0.1:1/x' },
      /^DATABASE_URL: the database cannot be reached \(ECONNREFUSED\)\. [^\n]+\n$/,
    ],
    [{ DATA_DIR: 'package.json/data' }, /^DATA_DIR: the folder [^\n]+ cannot be made private \(ENOTDIR\)\. [^\n]+\n$/],
    [{ DATA_DIR: `/var/${'x'.repeat(120)}` }, /^DATA_DIR: the path [^\n]+ is too long[^\n]+\n$/],
  ])('%o', async (environment, line) => {
    const ending = await runToEnd(['server/main.ts'], environment);
    expect(ending.output).toMatch(line);
    expect(ending.code).toBe(2);
  });
});

test('a request under way is answered after SIGTERM, then the service ends', async () => {
  const place = await freshPlace();
  const token = await managerToken(place.environment);
  const service = await started(place.environment);

  const body = JSON.stringify({ name: 'Slow sender', role: 'viewer' });
  const answer = new Promise<number | undefined>((resolve, reject) => {
    const slow = request(`${service.address}/v1/marinas/north/tokens`, {
      method: 'POST',
      headers: { authorization: `Bearer ${token}`, 'content-type': 'application/json', 'content-length': body.length },
    });
    slow.on('response', (response) => resolve(response.resume().statusCode));
    slow.on('error', reject);
    slow.write(body.slice(0, 10));
    setTimeout(() => service.process.kill('SIGTERM'), 300);
    setTimeout(() => slow.end(body.slice(10)), 1_500);
  });
  expect(await answer).toBe(201);
  const ending = await service.ended;
  expect(ending.code).toBe(0);
  expect(ending.output).not.toContain(token);

  const again = await started(place.environment);
  const list = await fetch(`${again.address}/v1/marinas/north/tokens`, {
    headers: { authorization: `Bearer ${token}` },
  });
  expect(await list.text()).toContain('Slow sender');
  expect((await again.end('SIGTERM')).code).toBe(0);
});

test('what was acknowledged before SIGKILL is there when the service is started again at once', async () => {
  const place = await freshPlace();
  const token = await managerToken(place.environment);
  const headers = { authorization: `Bearer ${token}`, 'content-type': 'application/json' };
  const acknowledged: string[] = [];
  for (let round = 0; round < 3; round++) {
    const service = await started(place.environment);
    const url = `${service.address}/v1/marinas/north/tokens`;
    for (let n = 0; ; n++) {
      // Somewhere within the requests that follow.
      if (n === 5) setTimeout(() => service.process.kill('SIGKILL'), Math.random() * 50);
      const name = `Round ${round} token ${n}`;
      const body = JSON.stringify({ name, role: 'viewer' });
      const response = await fetch(url, { method: 'POST', headers, body }).catch(() => null);
      if (response === null) break;
      expect(response.status).toBe(201);
      acknowledged.push(name);
    }
  }
  const service = await started(place.environment);
  const stored = new Set<string>();
  for (let path = '/v1/marinas/north/changes?limit=200', seq = 0; path !== ''; ) {
    const response = await fetch(service.address + path, { headers });
    const page = (await response.json()) as { items: { seq: number; after: { name: string } }[] };
    for (const item of page.items) {
      // Nothing half written: every number has its change.
      expect(item.seq).toBe(++seq);
      stored.add(item.after.name);
    }
    path = /^<([^>]+)>/.exec(response.headers.get('link') ?? '')?.[1] ?? '';
  }
  expect(acknowledged.length).toBeGreaterThanOrEqual(15);
  expect(acknowledged.filter((name) => !stored.has(name))).toEqual([]);
});

describe.runIf(testServerUrl === null)('the embedded folder (not for TEST_DATABASE_URL)', () => {
  test('belongs to one service: a second one is refused and the first goes on', async () => {
    const { environment, folder } = await freshFolder();
    const first = await started(environment);
    const second = await runToEnd(['server/main.ts'], environment);
    expect(second.code).toBe(2);
    expect(second.output).toBe(
      `DATA_DIR: the folder ${folder} is in use by another running service. Stop that one, or set DATA_DIR to another folder.\n`,
    );
    expect((await fetch(`${first.address}/health/ready`)).status).toBe(200);
    expect((await first.end('SIGTERM')).code).toBe(0);
  });

  test('belongs to one of two that start at the same moment', async () => {
    const { environment } = await freshFolder();
    const starts = await Promise.allSettled([started(environment), started(environment)]);
    expect(starts.filter((start) => start.status === 'fulfilled')).toHaveLength(1);
    const refused = starts.find((start) => start.status === 'rejected');
    expect(String(refused?.reason)).toContain('is in use by another running service');
  });
});
