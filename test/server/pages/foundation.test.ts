import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { createUser } from '../../../server/users/create-user.ts';
import { type Browsing, browse } from '../../support/browse.ts';
import { startTestServer, type TestServer } from '../../support/server.ts';

let server: TestServer;
beforeAll(async () => {
  server = await startTestServer();
  const principal = { id: 'operator', marinaId: 'north' };
  const input = {
    login: 'ines',
    name: 'Ines <b>Calder</b>',
    role: 'harbormaster',
    password: 'four plain words here',
  } as const;
  await createUser(server.db, { principal, now: server.clock.now, input });
});
afterAll(() => server.close());

const right = { do: 'password', marina: 'north', login: 'Ines', password: 'four plain words here' };

async function signedIn(): Promise<Browsing> {
  const browsing = browse(server.app);
  await browsing.post('/sign-in', right);
  return browsing;
}

describe('signing in', () => {
  test('who is not signed in is asked to, and then shown the page that was asked for', async () => {
    const browsing = browse(server.app);
    const asked = await browsing.get('/marinas/north/day');
    expect(asked).toMatchObject({ status: 303, location: '/sign-in?to=%2Fmarinas%2Fnorth%2Fday' });
    const signed = await browsing.post(asked.location ?? '', right);
    expect(signed).toMatchObject({ status: 303, location: '/marinas/north/day' });
    expect((await browsing.get('/marinas/north/day')).status).toBe(200);
  });

  test('the cookie is kept from scripts and from other sites, and is Secure only where it would come back', async () => {
    const plain = await browse(server.app).post('/sign-in', right);
    expect(plain.headers['set-cookie']).toMatch(/qw_session=qws_[\w-]+; .*HttpOnly; SameSite=Lax$/);
    expect(String(plain.headers['set-cookie'])).not.toContain('Secure');
  });

  test('a wrong password, an unknown name and a foreign marina get the same answer', async () => {
    const answers = await Promise.all(
      [{ password: 'wrong' }, { login: 'nobody' }, { marina: 'south' }, { marina: 'nowhere' }].map((change) =>
        browse(server.app).post('/sign-in', { ...right, ...change }),
      ),
    );
    for (const { status, text, headers } of answers) {
      expect(status).toBe(401);
      expect(text).toContain('do not belong together');
      expect(headers['set-cookie']).toBeUndefined();
    }
  });

  test('a password never comes back in the page', async () => {
    const answer = await browse(server.app).post('/sign-in', { ...right, password: 'a mistyped secret' });
    expect(answer.text).not.toContain('a mistyped secret');
  });

  test('a token signs in, and its revoking ends the session', async () => {
    const made = await server.call('manager', 'POST', '/tokens', { body: { name: 'Office', role: 'viewer' } });
    const browsing = browse(server.app);
    expect((await browsing.post('/sign-in', { do: 'token', token: made.body.token })).status).toBe(303);
    expect((await browsing.get('/marinas/north/day')).status).toBe(200);
    await server.call('manager', 'DELETE', `/tokens/${made.body.id}`);
    expect((await browsing.get('/marinas/north/day')).status).toBe(303);
  });

  test('signing out ends the session in the service too', async () => {
    const browsing = await signedIn();
    const stolen = browsing.copy();
    expect((await browsing.post('/sign-out', { do: 'out' })).location).toBe('/sign-in?out=1');
    expect((await stolen.get('/marinas/north/day')).status).toBe(303);
  });

  test('a session ends by itself', async () => {
    const browsing = await signedIn();
    const before = server.clock.now;
    server.clock.now += 8 * 86_400_000;
    expect((await browsing.get('/marinas/north/day')).status).toBe(303);
    server.clock.now = before;
  });

  test('leads only to paths of this service', async () => {
    for (const to of ['https://elsewhere.example/', '//elsewhere.example', '/\\elsewhere.example']) {
      const answer = await browse(server.app).post(`/sign-in?to=${encodeURIComponent(to)}`, right);
      expect(answer.status, to).toBe(400);
    }
  });
});

describe('what every page keeps', () => {
  test("another marina's pages are not there, as those of none are not", async () => {
    const browsing = await signedIn();
    const [foreign, nowhere] = [await browsing.get('/marinas/south/day'), await browsing.get('/marinas/nowhere/day')];
    expect([foreign.status, nowhere.status]).toEqual([404, 404]);
    expect(foreign.text).not.toContain('South Quay');
    expect((await browsing.get('/marinas/south')).status).toBe(404);
  });

  test('nothing inline, nothing from elsewhere, in nobody’s frame', async () => {
    const { headers, text } = await (await signedIn()).get('/marinas/north/day');
    const policy = String(headers['content-security-policy']);
    expect(policy).toContain("default-src 'none'");
    expect(policy).not.toContain('unsafe');
    expect(policy).toContain("frame-ancestors 'none'");
    expect(text).not.toMatch(/<style|style=|<script(?! src="\/assets\/)|\son\w+=/);
  });

  test('a form from another site, or from nowhere, does nothing', async () => {
    for (const origin of ['https://elsewhere.example', 'null', null]) {
      const browsing = await signedIn();
      expect((await browsing.post('/sign-out', { do: 'out' }, origin)).status, String(origin)).toBe(403);
      expect((await browsing.get('/marinas/north/day')).status).toBe(200);
    }
  });

  test('a session is worth nothing at the API, which another site could reach with it', async () => {
    const browsing = await signedIn();
    expect((await browsing.get('/v1/marinas/north/changes')).status).toBe(401);
  });

  test('names are shown as text', async () => {
    const { text } = await (await signedIn()).get('/marinas/north/day');
    expect(text).toContain('Ines &lt;b>Calder&lt;/b>');
  });

  test('a browser that asks for what is not there is shown a page; a client of the API a document', async () => {
    const browsing = await signedIn();
    expect((await browsing.get('/marinas/north/nothing')).text).toMatch(/^<!doctype html>/);
    expect((await browsing.get('/v1/nothing')).text).toMatch(/^\{/);
  });

  test('the style sheet is kept by the browser, under a name of its contents', async () => {
    const browsing = await signedIn();
    const { text } = await browsing.get('/marinas/north/day');
    const style = await browsing.get(/href="(\/assets\/style\.[0-9a-f]{12}\.css)"/.exec(text)?.[1] ?? '');
    expect(style.status).toBe(200);
    expect(style.headers['cache-control']).toContain('immutable');
  });
});

describe('units and clock', () => {
  test('the marina sets them for all, a browser for itself', async () => {
    const browsing = browse(server.app);
    await browsing.post('/sign-in', { do: 'token', token: server.tokens.manager });
    expect(
      (await browsing.post('/display', { do: 'save', lengths: 'metres', clock: '24', forMarina: '1' })).status,
    ).toBe(303);
    expect((await server.call('viewer', 'GET', '/display')).body).toEqual({ lengths: 'metres', clock: '24' });
    const other = await signedIn();
    expect((await other.get('/display')).text).toMatch(/value="metres"[^>]*checked/);
    await other.post('/display', { do: 'save', lengths: 'feet', clock: '12' });
    expect((await other.get('/display')).text).toMatch(/value="feet"[^>]*checked/);
    expect((await server.call('viewer', 'GET', '/display')).body).toEqual({ lengths: 'metres', clock: '24' });
  });

  test('who is no manager does not set them for all', async () => {
    const browsing = await signedIn();
    const refused = await browsing.post('/display', { do: 'save', lengths: 'feet', clock: '12', forMarina: '1' });
    expect(refused.status).toBe(403);
  });
});
