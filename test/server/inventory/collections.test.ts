import { afterAll, beforeAll, beforeEach, describe, expect, it } from 'vitest';
import { collectionResources } from '../../../server/inventory/collections.ts';
import { sampleInventory } from '../../support/sample-inventory.ts';
import { call, type TestServer } from '../../support/server.ts';
import { etag, putInventory, seqOf, startWithSample, write } from './support.ts';

let server: TestServer;
beforeAll(async () => {
  server = await startWithSample();
});
afterAll(() => server.close());
beforeEach(async () => {
  await putInventory(server, sampleInventory());
});

describe.each(collectionResources.map((resource) => [resource.path, resource] as const))('%s', (path, resource) => {
  const items = sampleInventory()[resource.collection];

  it('lists the items of the inventory in their order, page by page', async () => {
    const seen: unknown[] = [];
    let next: string | null = `/${path}?limit=3`;
    while (next !== null) {
      const reply = await call(server.app, server.tokens.viewer, 'GET', fullPath(next));
      expect(reply.status).toBe(200);
      expect(reply.headers.etag).toBe(await etag(server));
      seen.push(...reply.body.items);
      next = /<([^>]+)>; rel="next"/.exec(String(reply.headers.link ?? ''))?.[1] ?? null;
    }
    expect(seen).toEqual(JSON.parse(JSON.stringify(items)));
  });

  it('reads one, and says so where there is none', async () => {
    const [item] = items;
    expect((await server.call('dockhand', 'GET', `/${path}/${item?.id}`)).body).toEqual(item);
    const none = await server.call('dockhand', 'GET', `/${path}/none`);
    expect(none).toMatchObject({ status: 404, body: { detail: `There is no ${resource.noun} "none".` } });
  });

  it('puts one back without a change, and refuses another id than the path has', async () => {
    const [item] = items;
    const [tag, seq] = [await etag(server), await seqOf(server)];
    const same = await write(server, 'manager', 'PUT', `/${path}/${item?.id}`, item);
    expect(same).toMatchObject({ status: 200, body: item });
    expect([same.headers.etag, await seqOf(server)]).toEqual([tag, seq]);
    const other = await write(server, 'manager', 'PUT', `/${path}/other`, item);
    expect(other).toMatchObject({ status: 400, body: { errors: [{ in: 'body', pointer: '/id' }] } });
  });

  it('needs If-Match of the present revision, and a role that may', async () => {
    const [item] = items;
    const at = `/${path}/${item?.id}`;
    expect((await server.call('manager', 'PUT', at, { body: item })).status).toBe(428);
    const headers = { 'if-match': '"0"' };
    expect((await server.call('manager', 'PUT', at, { body: item, headers })).status).toBe(412);
    expect((await server.call('manager', 'DELETE', at, { headers })).status).toBe(412);
    expect((await server.call('dockhand', 'DELETE', at, { headers })).status).toBe(403);
    const mayHarbormaster = resource.writers.includes('harbormaster');
    expect((await write(server, 'harbormaster', 'PUT', at, item)).status).toBe(mayHarbormaster ? 200 : 403);
  });

  function fullPath(next: string): string {
    return next.startsWith('/v1') ? next : `${server.marina}${next}`;
  }
});

describe('one item', () => {
  const dock = { id: 'dock-c', label: 'C', kind: 'floating', lengthM: 30 };

  it('is created, replaced and retired', async () => {
    const created = await write(server, 'manager', 'PUT', '/docks/dock-c', dock);
    expect(created).toMatchObject({ status: 201, headers: { location: `${server.marina}/docks/dock-c` }, body: dock });
    expect(created.headers.etag).toBe(await etag(server));
    const replaced = await write(server, 'manager', 'PUT', '/docks/dock-c', { ...dock, lengthM: 31 });
    expect(replaced).toMatchObject({ status: 200, body: { lengthM: 31 } });
    const retired = await write(server, 'manager', 'DELETE', '/docks/dock-c');
    expect(retired.status).toBe(204);
    expect(retired.headers.etag).toBe(await etag(server));
    expect((await server.call('viewer', 'GET', '/docks/dock-c')).status).toBe(404);
    expect((await write(server, 'manager', 'DELETE', '/docks/dock-c')).status).toBe(404);
  });

  it('may be created under If-Match: *', async () => {
    const reply = await server.call('manager', 'PUT', '/docks/dock-c', { body: dock, headers: { 'if-match': '*' } });
    expect(reply.status).toBe(201);
  });

  it('has its faults by pointer into the item', async () => {
    const [outlet] = sampleInventory().outlets;
    const body = { ...outlet, pedestalId: 'none', configurationId: 'L9-99' };
    const reply = await write(server, 'manager', 'PUT', '/outlets/a1a', body);
    expect(reply.status).toBe(422);
    const pointers = reply.body.errors.map((error: { pointer: string }) => error.pointer);
    expect(pointers).toEqual(expect.arrayContaining(['/pedestalId', '/configurationId']));
  });

  it('stays while other things of the inventory refer to it', async () => {
    const reply = await write(server, 'manager', 'DELETE', '/docks/dock-a');
    expect(reply).toMatchObject({ status: 409, body: { type: '/problems/in-use' } });
    expect(reply.body.detail).toContain('The inventory still refers to the dock "dock-a"');
    const feeder = await write(server, 'manager', 'DELETE', '/equipment/feeder-a1');
    expect(feeder).toMatchObject({ status: 409, body: { type: '/problems/in-use' } });
  });

  it('with an id that a path cannot carry is refused', async () => {
    for (const id of ['a b', '..', '-', 'ä', 'x'.repeat(65)]) {
      const path = `/docks/${encodeURIComponent(id)}`;
      const reply = await write(server, 'manager', 'PUT', path, { ...dock, id });
      expect(reply.status, id).toBeGreaterThanOrEqual(400);
      expect(reply.status, id).toBeLessThan(500);
    }
  });
});

describe('a cursor', () => {
  it('goes on where it was, whatever was retired since', async () => {
    const first = await server.call('viewer', 'GET', '/berths?limit=3');
    const ids = first.body.items.map((item: { id: string }) => item.id);
    const last = ids[2];
    const { berths } = sampleInventory();
    await write(server, 'manager', 'PUT', '/inventory', {
      ...sampleInventory(),
      berths: berths.filter(({ id }) => id !== last),
    });
    const next = /<([^>]+)>/.exec(String(first.headers.link))?.[1] ?? '';
    const second = await call(server.app, server.tokens.viewer, 'GET', next);
    expect(second.body.items[0].id).toBe(berths[3]?.id);
  });

  it('of another list or none at all is invalid input', async () => {
    for (const cursor of ['x', Buffer.from('[1,2]').toString('base64url')]) {
      expect((await server.call('viewer', 'GET', `/berths?cursor=${cursor}`)).status).toBe(400);
    }
  });
});

describe('the marina and its diagnostics', () => {
  it('says what it has', async () => {
    const reply = await server.call('viewer', 'GET', '');
    const sample = sampleInventory();
    expect(reply.body).toMatchObject({
      id: 'north',
      name: sample.name,
      timeZone: sample.timeZone,
      counts: { docks: 2, outlets: sample.outlets.length, berths: sample.berths.length },
    });
  });

  it('lists every check, also where it found nothing, and what is not assessed', async () => {
    const { body } = await server.call('viewer', 'GET', '/inventory/diagnostics');
    const checks = new Map(body.checks.map((check: { name: string }) => [check.name, check]));
    expect(checks.get('demand.conductorNotInTable')).toMatchObject({ findings: [] });
    expect(checks.get('outlet.linesUnknown')).toMatchObject({ findings: [{ subject: { id: 'a4a' } }] });
    const subjects = body.notAssessed.map((finding: { rule: string; subject: { id: string } }) => [
      finding.rule,
      finding.subject.id,
    ]);
    expect(subjects).toContainEqual(['demand.notAssessed', 'feeder-a2']);
    expect(body.neverAssessed.length).toBeGreaterThan(0);
    expect(body.cautions.length).toBeGreaterThan(3);
  });
});
