import { afterAll, beforeAll, beforeEach, describe, expect, it } from 'vitest';
import type { Inventory } from '../../../core/inventory/inventory.ts';
import { documentRoutes } from '../../../server/inventory/document-routes.ts';
import { documentSchema } from '../../../server/inventory/pattern-schema.ts';
import { sampleInventory, withPatched } from '../../support/sample-inventory.ts';
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

async function read(): Promise<Inventory> {
  return (await server.call('viewer', 'GET', '/inventory')).body;
}

describe('a whole inventory', () => {
  it('comes back as it was put', async () => {
    expect(await read()).toEqual(JSON.parse(JSON.stringify(sampleInventory())));
  });

  it('put back as it was read changes nothing: no revision, no change row', async () => {
    const [tag, seq] = [await etag(server), await seqOf(server)];
    const reply = await putInventory(server, await read());
    expect(reply).toMatchObject({ status: 200, body: { stored: false, differs: false, marina: [] } });
    expect(reply.headers.etag).toBe(tag);
    expect(await seqOf(server)).toBe(seq);
  });

  it('is not sent again to whoever knows its revision', async () => {
    const reply = await server.call('viewer', 'GET', '/inventory', {
      headers: { 'if-none-match': await etag(server) },
    });
    expect(reply.status).toBe(304);
    expect(reply.body).toBe('');
  });

  it('says by id what changed, and keeps only that in the change row', async () => {
    const before = await etag(server);
    const changed = withPatched(sampleInventory(), 'equipment', 'feeder-a1', { breakerA: 175 });
    const docks = [...changed.docks, { id: 'dock-c', label: 'C', kind: 'floating' as const, lengthM: null }];
    const berths = changed.berths.filter(({ id }) => id !== 'BR');
    const reply = await putInventory(server, { ...changed, docks, berths });
    expect(reply.body).toMatchObject({
      stored: true,
      differs: true,
      equipment: { added: [], changed: ['feeder-a1'], removed: [] },
      docks: { added: ['dock-c'], changed: [], removed: [] },
      berths: { added: [], changed: [], removed: ['BR'] },
    });
    expect(reply.headers.etag).not.toBe(before);
    const changes = await server.call('viewer', 'GET', `/changes?after=${(await seqOf(server)) - 1}`);
    expect(changes.body.items).toHaveLength(1);
    const [row] = changes.body.items;
    expect(row).toMatchObject({
      kind: 'inventory.put',
      before: { equipment: [{ id: 'feeder-a1', breakerA: 200 }], berths: [{ id: 'BR' }] },
      after: { equipment: [{ id: 'feeder-a1', breakerA: 175 }], docks: [{ id: 'dock-c' }] },
    });
    expect(row.before.docks).toBeUndefined();
    expect(row.after.outlets).toBeUndefined();
  });

  it('takes back what was retired', async () => {
    const without = { ...sampleInventory(), berths: sampleInventory().berths.filter(({ id }) => id !== 'BR') };
    await putInventory(server, without);
    expect((await server.call('viewer', 'GET', '/berths/BR')).status).toBe(404);
    await putInventory(server, sampleInventory());
    expect((await server.call('viewer', 'GET', '/berths/BR')).body).toMatchObject({ id: 'BR', unitIds: ['BR'] });
  });

  it('dry run: says what would change and stores nothing', async () => {
    const [tag, seq] = [await etag(server), await seqOf(server)];
    const changed = withPatched(sampleInventory(), 'docks', 'dock-a', { label: 'Alpha' });
    const reply = await putInventory(server, changed, { query: '?dryRun=true' });
    expect(reply.body).toMatchObject({ stored: false, differs: true, docks: { changed: ['dock-a'] } });
    expect([await etag(server), await seqOf(server)]).toEqual([tag, seq]);
    expect((await server.call('viewer', 'GET', '/docks/dock-a')).body.label).toBe('A');
  });

  it('keeps HTML, SQL and names of many scripts as the text they are', async () => {
    const label = `<script>alert('1')</script>"; DROP TABLE berth; -- ${'Hafen 港'}`;
    await putInventory(server, withPatched(sampleInventory(), 'docks', 'dock-a', { label }));
    expect((await server.call('viewer', 'GET', '/docks/dock-a')).body.label).toBe(label);
    expect((await read()).berths).toHaveLength(sampleInventory().berths.length);
  });
});

describe('a faulty document', () => {
  it('has every fault named where it stands, and nothing is stored', async () => {
    const tag = await etag(server);
    let faulty = withPatched(sampleInventory(), 'equipment', 'svc', { parentId: 'panel-a' });
    faulty = withPatched(faulty, 'outlets', 'a1a', { lines: ['L3'] });
    faulty = withPatched(faulty, 'berths', 'B1', { reaches: [{ outletId: 'a1a', alongM: 0, acrossM: 0, detourM: 0 }] });
    faulty = withPatched(faulty, 'pedestals', 'ped-a2', { label: 'A1' });
    const at = (list: readonly { id: string }[], id: string) => list.findIndex((item) => item.id === id);
    const reply = await putInventory(server, faulty);
    expect(reply).toMatchObject({ status: 422, body: { type: '/problems/faulty-document' } });
    const pointers: string[] = reply.body.errors.map((error: { pointer: string }) => error.pointer);
    expect(pointers).toEqual(
      expect.arrayContaining([
        expect.stringMatching(/^\/equipment\/\d+\/parentId$/),
        expect.stringMatching(new RegExp(`^/outlets/${at(faulty.outlets, 'a1a')}/lines`)),
        `/berths/${at(faulty.berths, 'B1')}/reaches/0/outletId`,
        `/pedestals/${at(faulty.pedestals, 'ped-a2')}/label`,
      ]),
    );
    expect(await etag(server)).toBe(tag);
  });

  it('of the wrong shape is invalid input, again by pointer, several at once', async () => {
    const document = {
      ...sampleInventory(),
      timeZone: 'Mars/Olympus',
      colour: 'blue',
      docks: [{ id: 'a/b', kind: 'sunken' }],
    };
    const reply = await putInventory(server, document);
    expect(reply).toMatchObject({ status: 400, body: { type: '/problems/invalid-input' } });
    const pointers: string[] = reply.body.errors.map((error: { pointer: string }) => error.pointer);
    expect(pointers.sort()).toEqual(['/colour', '/docks/0/id', '/docks/0/kind', '/docks/0/label', '/timeZone']);
  });

  it.each(['+02:00', 'Nowhere', '', 'UTC+3'])('has no time zone "%s"', async (timeZone) => {
    const reply = await putInventory(server, { ...sampleInventory(), timeZone });
    expect(reply.status).toBe(400);
    expect(reply.body.errors).toMatchObject([{ pointer: '/timeZone' }]);
  });
});

describe('patterns', () => {
  const example = documentRoutes.find(({ operationId }) => operationId === 'putInventory')?.example;
  const document = documentSchema.parse(example);

  it('are written out', async () => {
    const sample = sampleInventory();
    const reply = await putInventory(server, { ...sample, patterns: withoutClash() });
    expect(reply.status).toBe(200);
    expect(reply.body.pedestals.added).toHaveLength(10);
    expect(reply.body.outlets.added).toHaveLength(20);
    expect(reply.body.berths.added).toHaveLength(10);
    const outlet = await server.call('viewer', 'GET', '/outlets/n-p3B');
    expect(outlet.body).toMatchObject({ pedestalId: 'n-p3', lines: ['L2'], breakerA: 30 });
    expect(await read()).not.toHaveProperty('patterns');
  });

  it('have their faults told once, where the pattern is written', async () => {
    const [pattern] = withoutClash();
    const reply = await putInventory(server, { ...sampleInventory(), patterns: [{ ...pattern, fedById: 'nothing' }] });
    expect(reply.status).toBe(422);
    const pointers = reply.body.errors.map((error: { pointer: string }) => error.pointer);
    expect(pointers.filter((pointer: string) => pointer === '/patterns/0/fedById')).toHaveLength(1);
  });

  it('make only ids that the API takes', async () => {
    const [pattern] = withoutClash();
    const naming = { id: `${'x'.repeat(55)}{n}{n}{n}`, label: 'P{n}' };
    const reply = await putInventory(server, {
      ...sampleInventory(),
      patterns: [{ ...pattern, firstNumber: 1000, pedestal: naming }],
    });
    expect(reply.status).toBe(422);
    expect(reply.body.errors[0].pointer).toMatch(/^\/patterns\/0\/pedestal/);
  });

  it('that would make more than any marina has are refused before they are made', async () => {
    const [pattern] = withoutClash();
    const huge = { ...pattern, count: 500, berths: Array.from({ length: 26 }, () => pattern?.berths?.[0]) };
    const reply = await putInventory(server, { ...sampleInventory(), patterns: [huge, huge] });
    expect(reply).toMatchObject({ status: 422, body: { errors: [{ pointer: '/patterns' }] } });
  });

  /** The pattern of the example on the sample's own dock, with names of its own. */
  function withoutClash() {
    return document.patterns.map((pattern) => ({
      ...pattern,
      dockId: 'dock-a',
      fedById: 'feeder-a1',
      pedestal: { id: 'n-p{n}', label: 'N{n}' },
      outlets: pattern.outlets.map((outlet) => ({ ...outlet, id: 'n-p{p}{a}' })),
      berths: pattern.berths.map((berth) => ({ ...berth, id: 'n-{n}', label: 'N{n}' })),
    }));
  }
});

describe('who may write, and on what', () => {
  it('needs If-Match, of the present revision', async () => {
    const body = sampleInventory();
    expect((await server.call('manager', 'PUT', '/inventory', { body })).status).toBe(428);
    const stale = await server.call('manager', 'PUT', '/inventory', { body, headers: { 'if-match': '"0"' } });
    expect(stale).toMatchObject({ status: 412, body: { type: '/problems/stale-version' } });
    const any = await server.call('manager', 'PUT', '/inventory', { body, headers: { 'if-match': '*' } });
    expect(any.status).toBe(200);
  });

  it.each(['harbormaster', 'dockhand', 'viewer'] as const)('is not for the %s', async (role) => {
    expect((await putInventory(server, sampleInventory(), { role })).status).toBe(403);
    expect((await write(server, role, 'PUT', '/settings', {})).status).toBe(403);
  });

  it('is not for another marina', async () => {
    const token = server.foreignTokens.manager;
    for (const path of ['', '/inventory', '/settings', '/berths', '/berths/A1', '/inventory/diagnostics']) {
      expect((await call(server.app, token, 'GET', `${server.marina}${path}`)).status, path).toBe(404);
    }
    const headers = { 'if-match': '*' };
    const options = { body: sampleInventory(), headers };
    expect((await call(server.app, token, 'PUT', `${server.marina}/inventory`, options)).status).toBe(404);
  });

  it('lets one of several writers on the same revision through', async () => {
    const headers = { 'if-match': await etag(server) };
    const replies = await Promise.all(
      ['One', 'Two', 'Three', 'Four'].map((name) =>
        server.call('manager', 'PUT', '/inventory', { headers, body: { ...sampleInventory(), name } }),
      ),
    );
    expect(replies.map(({ status }) => status).sort()).toEqual([200, 412, 412, 412]);
  });
});

describe('settings', () => {
  it('are replaced whole, on the revision of the inventory', async () => {
    const settings = { ...sampleInventory().settings, turnoverMinutes: 90 };
    const reply = await write(server, 'manager', 'PUT', '/settings', settings);
    expect(reply).toMatchObject({ status: 200, body: { turnoverMinutes: 90 } });
    expect((await server.call('viewer', 'GET', '/settings')).body).toEqual(settings);
    expect((await read()).settings.turnoverMinutes).toBe(90);
  });

  it('have faults by pointer into the body', async () => {
    const settings = { ...sampleInventory().settings, practiceId: 'none', usualCordLengthsM: [15, 7] };
    const reply = await write(server, 'manager', 'PUT', '/settings', settings);
    expect(reply.status).toBe(422);
    const pointers = reply.body.errors.map((error: { pointer: string }) => error.pointer);
    expect(pointers).toEqual(['/practiceId', '/usualCordLengthsM/1']);
  });
});

describe('a large marina', () => {
  it('of 1,000 berths and 2,000 outlets is taken, read back whole and put again without a change', async () => {
    const sample = sampleInventory();
    const [feeder] = sample.equipment.filter(({ id }) => id === 'feeder-a1');
    const pattern = (dock: number) => ({
      dockId: `d${dock}`,
      count: 50,
      firstAlongM: 3,
      spacingM: 6,
      fedById: `f${dock}`,
      pedestal: { id: `d${dock}-p{n}`, label: 'P{n}' },
      outlets: [
        {
          id: `d${dock}-p{p}{a}`,
          label: '{a}',
          count: 4,
          configurationId: 'L5-30',
          lineTurns: [['L1'], ['L2']],
          breakerA: 30,
        },
      ],
      berths: [1, 2].map((side) => ({
        id: `d${dock}-{n}`,
        label: '{n}',
        lengthM: 12 + side,
        mooring: 'fingerPier',
        reach: { alongM: 0, acrossM: 1 },
      })),
    });
    const docks = Array.from({ length: 10 }, (_, i) => i);
    const reply = await putInventory(server, {
      ...sample,
      docks: [...sample.docks, ...docks.map((i) => ({ id: `d${i}`, label: `D${i}`, kind: 'floating' }))],
      equipment: [...sample.equipment, ...docks.map((i) => ({ ...feeder, id: `f${i}`, label: `F${i}` }))],
      patterns: docks.map(pattern),
    });
    expect(reply.status, JSON.stringify(reply.body).slice(0, 500)).toBe(200);
    const { body: counted } = await server.call('viewer', 'GET', '');
    expect(counted.counts).toMatchObject({
      berths: 1000 + sample.berths.length,
      outlets: 2000 + sample.outlets.length,
    });
    const again = await putInventory(server, await read());
    expect(again.body).toMatchObject({ stored: false, differs: false });
  });

  it('may be a document above the limit of other bodies', async () => {
    const payload = `${JSON.stringify(sampleInventory())}${' '.repeat(6 * 1024 * 1024)}`;
    const reply = await server.app.inject({
      method: 'PUT',
      url: `${server.marina}/inventory`,
      headers: {
        authorization: `Bearer ${server.tokens.manager}`,
        'if-match': await etag(server),
        'content-type': 'application/json',
      },
      payload,
    });
    expect(reply.statusCode).toBe(200);
    const body = ' '.repeat(6 * 1024 * 1024);
    expect((await write(server, 'manager', 'PUT', '/settings', body)).status).toBe(413);
  });
});
