import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { call, startTestServer, type TestServer } from '../support/server.ts';

let server: TestServer;
beforeAll(async () => {
  server = await startTestServer();
});
afterAll(() => server.close());

describe('who may do what', () => {
  test('no token, a wrong one and a revoked one are refused with a challenge (RFC 6750, 3)', async () => {
    const none = await server.call(null, 'GET', '/changes');
    expect(none.status).toBe(401);
    expect(none.headers['www-authenticate']).toBe('Bearer realm="quaywatt"');
    const wrong = await call(server.app, `qw_${'x'.repeat(43)}`, 'GET', `${server.marina}/changes`);
    expect(wrong.status).toBe(401);
    expect(wrong.headers['www-authenticate']).toContain('invalid_token');
  });

  test('a token of another marina learns nothing, not even that the marina exists', async () => {
    const foreign = await call(server.app, server.foreignTokens.manager, 'GET', `${server.marina}/changes`);
    const nowhere = await call(server.app, server.foreignTokens.manager, 'GET', '/v1/marinas/nowhere/changes');
    expect(foreign.status).toBe(404);
    expect(foreign.body.detail).toBe(nowhere.body.detail);
  });

  test('a role that is not listed is refused by name', async () => {
    const refused = await server.call('viewer', 'POST', '/tokens', { body: { name: 'Mine', role: 'manager' } });
    expect(refused.status).toBe(403);
    expect(refused.body).toMatchObject({ type: '/problems/forbidden', detail: expect.stringContaining('viewer') });
  });
});

describe('tokens', () => {
  test('are shown once, work at once, and stop at once when revoked', async () => {
    const created = await server.call('manager', 'POST', '/tokens', { body: { name: 'East dock', role: 'dockhand' } });
    expect(created.status).toBe(201);
    expect(created.headers.location).toBe(`${server.marina}/tokens/${created.body.id}`);
    const { token, id } = created.body;
    expect((await call(server.app, token, 'GET', `${server.marina}/changes`)).status).toBe(200);

    const list = await server.call('manager', 'GET', '/tokens');
    expect(JSON.stringify(list.body)).not.toContain(token);
    expect(list.body.items).toContainEqual(expect.objectContaining({ id, name: 'East dock', role: 'dockhand' }));

    expect((await server.call('manager', 'DELETE', `/tokens/${id}`)).status).toBe(204);
    expect((await call(server.app, token, 'GET', `${server.marina}/changes`)).status).toBe(401);
    expect((await server.call('manager', 'DELETE', `/tokens/${id}`)).body.type).toBe('/problems/wrong-state');
    expect((await server.call('manager', 'DELETE', '/tokens/none')).status).toBe(404);
  });
});

describe('changes', () => {
  test('come in pages whose links lead through all of them once, in order', async () => {
    for (const name of ['One', 'Two', 'Three']) {
      await server.call('manager', 'POST', '/tokens', { body: { name, role: 'viewer' } });
    }
    const seen: number[] = [];
    let path = '/changes?limit=2';
    for (;;) {
      const page = await server.call('viewer', 'GET', path);
      expect(page.status).toBe(200);
      seen.push(...page.body.items.map((item: { seq: number }) => item.seq));
      const next = /^<([^>]+)>; rel="next"$/.exec(String(page.headers.link ?? ''))?.[1];
      if (next === undefined) break;
      path = next;
    }
    const { seq } = await server.db.prisma.marina.findUniqueOrThrow({ where: { id: 'north' } });
    expect(seen).toEqual(Array.from({ length: Number(seq) }, (_, index) => index + 1));
  });

  test('say who, when and what, without secrets', async () => {
    const { body } = await server.call('viewer', 'GET', '/changes?limit=200');
    expect(body.items[0]).toMatchObject({ seq: 1, kind: 'marina.created', actor: 'operator', before: null });
    expect(body.items.at(-1)).toMatchObject({ kind: 'token.created', at: '2030-06-10T12:00:00.000Z' });
    expect(JSON.stringify(body)).not.toMatch(/qw_/);
  });

  test('a cursor of another list, a forged one and a limit out of range are refused', async () => {
    for (const query of ['cursor=WyJ4Il0', 'cursor=%00', 'cursor=abc', 'limit=0', 'limit=201', 'limit=x', 'nope=1']) {
      const answer = await server.call('viewer', 'GET', `/changes?${query}`);
      expect(answer.status, query).toBe(400);
      expect(answer.body.errors[0].in).toBe('query');
    }
  });
});

describe('what cannot be read is refused in its own words', () => {
  const cases: readonly [name: string, status: number, type: string, payload: string, contentType: string][] = [
    ['broken JSON', 400, 'invalid-json', '{"name":', 'application/json'],
    ['an empty body', 400, 'invalid-json', '', 'application/json'],
    ['a poisoned prototype', 400, 'invalid-json', '{"__proto__":{"role":"manager"}}', 'application/json'],
    ['a form', 415, 'unsupported-media-type', 'name=x', 'application/x-www-form-urlencoded'],
    ['plain text', 415, 'unsupported-media-type', 'x', 'text/plain'],
    ['10 MB', 413, 'body-too-large', `"${'x'.repeat(10_000_000)}"`, 'application/json'],
    ['a list', 400, 'invalid-input', '[]', 'application/json'],
    ['null', 400, 'invalid-input', 'null', 'application/json'],
    ['a text of 1 MB', 400, 'invalid-input', `{"name":"${'x'.repeat(1_000_000)}","role":"viewer"}`, 'application/json'],
    ['NUL', 400, 'invalid-input', '{"name":"a\\u0000b","role":"viewer"}', 'application/json'],
    ['half a pair', 400, 'invalid-input', '{"name":"a\\ud800b","role":"viewer"}', 'application/json'],
    ['an unknown role', 400, 'invalid-input', '{"name":"a","role":"owner"}', 'application/json'],
    ['a deep nest', 400, 'invalid-input', '['.repeat(100_000) + ']'.repeat(100_000), 'application/json'],
  ];
  test.each(cases)('%s: %i %s', async (_name, status, type, payload, contentType) => {
    const answer = await server.app.inject({
      method: 'POST',
      url: `${server.marina}/tokens`,
      headers: { authorization: `Bearer ${server.tokens.manager}`, 'content-type': contentType },
      payload,
    });
    expect(answer.statusCode).toBe(status);
    expect(answer.headers['content-type']).toBe('application/problem+json; charset=utf-8');
    expect(answer.json()).toMatchObject({
      type: `/problems/${type}`,
      status,
      requestId: answer.headers['x-request-id'],
    });
  });

  test('an unknown field is named by its pointer (RFC 6901)', async () => {
    const body = { name: 'A', role: 'viewer', 'a/b~c': 1 };
    const { body: problem } = await server.call('manager', 'POST', '/tokens', { body });
    expect(problem.errors).toEqual([{ in: 'body', pointer: '/a~1b~0c', message: 'There is no such field.' }]);
  });

  test('an unknown path is 404, a known path with another method 405 with Allow (RFC 9110, 15.5.6)', async () => {
    expect((await server.call(null, 'GET', '/v1/nothing')).status).toBe(404);
    const wrong = await server.call('manager', 'PATCH', '/tokens');
    expect(wrong.status).toBe(405);
    expect(wrong.headers.allow).toBe('GET, HEAD, POST');
  });

  test.each([
    '/tokens/%00',
    '/tokens/%ff',
    '/tokens/a%2fb',
    '/tokens/%',
    `/tokens/${'x'.repeat(500)}`,
    "/tokens/'%20OR%201=1--",
  ])('the path %s is a clear 4xx', async (path) => {
    const answer = await server.call('manager', 'DELETE', path);
    expect(answer.status).toBeGreaterThanOrEqual(400);
    expect(answer.status).toBeLessThan(500);
    expect(answer.body.type).toMatch(/^\/problems\//);
  });
});

test('health says that it lives and is ready', async () => {
  expect((await server.call(null, 'GET', '/health/live')).body).toEqual({ status: 'ok' });
  expect((await server.call(null, 'GET', '/health/ready')).body).toEqual({ status: 'ok' });
});
