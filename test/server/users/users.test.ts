import { afterAll, beforeAll, expect, test } from 'vitest';
import { browse } from '../../support/browse.ts';
import { startTestServer, type TestServer } from '../../support/server.ts';

let server: TestServer;
beforeAll(async () => {
  server = await startTestServer();
});
afterAll(() => server.close());

const dana = { login: 'dana', name: 'Dana Whitlock', role: 'dockhand', password: 'ladder cleat fender rope' };

test('a manager lets people in and out; neither answers nor changes hold a password or its hash', async () => {
  const created = await server.call('manager', 'POST', '/users', { body: dana });
  expect(created.status).toBe(201);
  const signIn = { do: 'password', marina: 'north', login: 'dana', password: dana.password };
  const browsing = browse(server.app);
  expect((await browsing.post('/sign-in', signIn)).status).toBe(303);

  const again = await server.call('manager', 'POST', '/users', { body: dana });
  expect(again.body.type).toBe('/problems/already-exists');

  const path = `/users/${created.body.id}`;
  const changed = { password: 'another four plain words' };
  expect((await server.call('manager', 'PUT', `${path}/password`, { body: changed })).status).toBe(204);
  expect((await browsing.get('/marinas/north/day')).status).toBe(303);
  expect((await browse(server.app).post('/sign-in', signIn)).status).toBe(401);
  expect((await browsing.post('/sign-in', { ...signIn, ...changed })).status).toBe(303);

  expect((await server.call('manager', 'DELETE', path)).status).toBe(204);
  expect((await browsing.get('/marinas/north/day')).status).toBe(303);
  expect((await server.call('manager', 'DELETE', path)).body.type).toBe('/problems/wrong-state');
  // The name is free again.
  expect((await server.call('manager', 'POST', '/users', { body: dana })).status).toBe(201);

  const seen = JSON.stringify([
    (await server.call('manager', 'GET', '/users')).body,
    (await server.call('manager', 'GET', '/changes')).body,
  ]);
  expect(seen).toContain('user.closed');
  expect(seen).not.toMatch(/argon2|ladder cleat|four plain/);
});

test('a short password is refused with what would do', async () => {
  const refused = await server.call('manager', 'POST', '/users', {
    body: { ...dana, login: 'eve', password: 'short' },
  });
  expect(refused.body.errors).toEqual([
    { in: 'body', pointer: '/password', message: 'Use at least 10 characters: four words do.' },
  ]);
});
