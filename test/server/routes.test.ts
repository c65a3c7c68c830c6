import fastify from 'fastify';
import { afterAll, beforeAll, expect, test } from 'vitest';
import { z } from 'zod';
import { everyRole } from '../../server/http/access.ts';
import { registerRoutes } from '../../server/http/register-routes.ts';
import { defineRoute } from '../../server/http/route.ts';
import { allPages } from '../../server/pages/all-pages.ts';
import { requireDeclaredRoles } from '../../server/plugins/declared-roles.ts';
import { apiRoutes } from '../../server/routes.ts';
import { startTestServer, type TestServer } from '../support/server.ts';

let server: TestServer;
beforeAll(async () => {
  server = await startTestServer();
});
afterAll(() => server.close());

test('every route and who may use it', async () => {
  const lines = apiRoutes.map(({ method, url, roles }) => `${method} ${url}: ${[roles].flat().join(', ')}`);
  await expect(`${lines.sort().join('\n')}\n`).toMatchFileSnapshot('routes-and-roles.txt');
});

test('every page, who may use it, and what its forms do', async () => {
  const lines = allPages.map(({ url, roles, actionNames }) => {
    const actions = actionNames.length === 0 ? '' : ` (${actionNames.join(', ')})`;
    return `${url}: ${[roles].flat().join(', ')}${actions}`;
  });
  await expect(`${lines.sort().join('\n')}\n`).toMatchFileSnapshot('pages-and-roles.txt');
});

test('a path of a marina is never public', () => {
  const open = apiRoutes.filter(({ url, roles }) => url.includes(':marinaId') && roles === 'public');
  expect(open).toEqual([]);
});

test('a route without a declared role keeps the service from starting, whichever plugin adds it', async () => {
  const app = fastify();
  requireDeclaredRoles(app);
  app.get('/declared', { config: { roles: 'public' } }, async () => 'open to all');
  app.register(async (plugin) => {
    plugin.get('/v1/forgotten', async () => 'open to all');
  });
  await expect(app.ready()).rejects.toThrow(/^These routes declare no role: GET \/v1\/forgotten/);
});

test('a route with no role, with a loose object or with an endless string does not register', async () => {
  const app = fastify();
  const shape = {
    method: 'POST',
    url: '/v1/x',
    operationId: 'x',
    summary: 'x',
    tag: 'x',
    roles: everyRole,
    response: { 200: z.strictObject({}) },
  } as const;
  const handler = async () => ({ status: 200, body: {} }) as const;
  const register = (route: Parameters<typeof registerRoutes>[1][number]) => () =>
    registerRoutes(app, [route], server.services);
  expect(register(defineRoute({ ...shape, roles: [] }).handle(handler))).toThrow('POST /v1/x declares no role');
  const loose = defineRoute({ ...shape, body: z.object({ inner: z.object({}) }) }).handle(handler);
  expect(register(loose)).toThrow('not a strict object');
  const endless = defineRoute({ ...shape, body: z.strictObject({ name: z.string() }) }).handle(handler);
  expect(register(endless)).toThrow('a string without a greatest length');
  const long = defineRoute({ ...shape, body: z.strictObject({ list: z.array(z.int()) }) }).handle(handler);
  expect(register(long)).toThrow('a list without a greatest length');
  await app.close();
});

test('every role of the wrong kind is refused on every route, before anything is read', async () => {
  for (const { method, url, roles } of apiRoutes) {
    if (roles === 'public') continue;
    const path = url.replace(':marinaId', 'north').replaceAll(/:\w+/g, 'x');
    expect((await server.call(null, method, path)).status, `${method} ${url} without a token`).toBe(401);
    for (const role of everyRole.filter((each) => !roles.includes(each))) {
      expect((await server.call(role, method, path)).status, `${method} ${url} as ${role}`).toBe(403);
    }
  }
});
