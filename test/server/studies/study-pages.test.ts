import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { type Browsing, browse } from '../../support/browse.ts';
import type { TestServer } from '../../support/server.ts';
import { startMarina } from '../occupancy/fixture.ts';

let server: TestServer;
let manager: Browsing;
beforeAll(async () => {
  server = await startMarina();
  manager = browse(server.app);
  await manager.post('/sign-in', { do: 'token', token: server.tokens.manager });
});
afterAll(() => server.close());

const studies = '/marinas/north/studies';
const settings = { name: 'Dock A', currency: 'usd', edition: '2020', 'loan/ratePercent': '6', 'loan/years': '10' };
const figures = (position: number, label: string, more: object = {}) => ({
  do: 'save',
  [`changes/${position}/label`]: label,
  [`changes/${position}/cost`]: '80000',
  [`changes/${position}/lifeYears`]: '25',
  [`changes/${position}/outOfServiceDays`]: '20',
  [`changes/${position}/suppliedBy`]: 'offer of an invented contractor',
  ...more,
});

async function begin(): Promise<string> {
  const { status, location } = await manager.post(studies, { do: 'begin', ...settings, 'loan/paymentsPerYear': '1' });
  expect(status).toBe(303);
  return location ?? '';
}

const read = async (path: string) =>
  (await server.call('manager', 'GET', path.replace('/marinas/north', '/v1/marinas/north'))).body;

describe('the pages of a study', () => {
  it('add, edit and remove changes by forms, several things in one', async () => {
    const path = await begin();
    const saved = await manager.post(`${path}/changes/~new`, {
      ...figures(0, 'Larger feeder & breaker'),
      version: '1',
    });
    expect(saved).toMatchObject({ status: 303, location: `${path}/changes/larger-feeder-breaker` });
    const change = saved.location ?? '';
    const put = await manager.post(`${change}?kind=breaker&ids=feeder-a1`, {
      do: 'put',
      version: '2',
      breakerA: '300',
      'groundFault.device': 'fitted',
      'groundFault.settingMa': '100',
    });
    expect([put.status, put.location]).toEqual([303, change]);
    const outlets = await manager.get(`${change}?kind=outlet&ids=a1a,a1b`);
    expect(outlets.text).toContain('As these 2 are to be');
    const { index } = await server.services.inventories.inventoryOf(server.db.prisma, 'north');
    const both = await manager.post(`${change}?kind=outlet&ids=a1a,a1b`, {
      // A browser sends every field as it was shown.
      ...shownFields(outlets.text),
      do: 'put',
      version: '3',
      'groundFault.settingMa': '30',
    });
    expect(both.status).toBe(303);
    const study = await read(path);
    const [feeder, ...two] = study.changes[0].items;
    expect(feeder).toMatchObject({ collection: 'equipment', id: 'feeder-a1', item: { breakerA: 300 } });
    expect(two.map(({ id }: { id: string }) => id)).toEqual(['a1a', 'a1b']);
    for (const { id, item } of two) {
      const was = index.outlets.get(id);
      expect(item).toEqual({ ...was, groundFault: { ...was?.groundFault, settingMa: 30 } });
    }
    const shown = await manager.get(path);
    expect(shown.text).toContain('Breaker, A: 200 → 300');
    expect(shown.text).toContain('80,000.00 USD');
    await manager.post(change, { do: 'drop', version: '4', item: 'outlets/a1b' });
    expect((await read(path)).changes[0].items).toHaveLength(2);
    await manager.post(change, { do: 'remove', version: '5' });
    expect((await read(path)).changes).toEqual([]);
  });

  it('show each fault at its field, and what was written', async () => {
    const path = await begin();
    const refused = await manager.post(`${path}/changes/~new`, {
      ...figures(0, 'Feeder', { 'changes/0/cost': 'much' }),
      version: '1',
    });
    expect(refused.status).toBe(400);
    expect(refused.text).toMatch(/id="f-changes-0-cost"[^>]*aria-invalid/);
    expect(refused.text).toContain('value="much"');
    const saved = await manager.post(`${path}/changes/~new`, { ...figures(0, 'Feeder'), version: '1' });
    const put = await manager.post(`${saved.location}?kind=breaker&ids=feeder-a1`, {
      do: 'put',
      version: '2',
      breakerA: 'huge',
    });
    expect(put.status).toBe(400);
    expect(put.text).toMatch(/id="f-breakerA"[^>]*aria-invalid/);
    const finer = await manager.post(`${path}/changes/feeder`, {
      ...figures(0, 'Feeder', { 'changes/0/cost': '10.005' }),
      version: '2',
    });
    expect([finer.status, finer.text.includes('finer than the currency')]).toEqual([422, true]);
  });

  it('take what the code obliges to with its cost, as part of the total', async () => {
    const path = await begin();
    await manager.post(`${path}/changes/~new`, { ...figures(0, 'Feeder'), version: '1' });
    const besides = {
      do: 'oblige',
      version: '2',
      'obligations/0/label': 'Ground-fault <b>device</b>',
      'obligations/0/cost': '2500',
      'obligations/0/suppliedBy': 'own estimate',
    };
    const faulty = await manager.post(path, { ...besides, 'obligations/0/cost': 'some' });
    expect(faulty.text).toMatch(/id="f-obligations-0-cost"[^>]*aria-invalid/);
    expect((await manager.post(path, { ...besides, changeIds: ['feeder'] })).status).toBe(303);
    const { cost, obligations } = await read(path);
    expect([cost, obligations[0].changeIds]).toEqual(['82500.00', ['feeder']]);
    for (const shown of [await manager.get(path), await manager.get(`${path}/report`)]) {
      expect(shown.text).toContain('Ground-fault &lt;b>device');
      expect(shown.text).toContain('2,500.00 USD of the total is for what the code asks besides');
      expect(shown.text).toContain('to be confirmed by the authority');
    }
  });

  it('say that the marina has moved on, and rebase', async () => {
    const path = await begin();
    const item = await server.call('manager', 'GET', '/equipment/feeder-a1');
    const { version: _, ...feeder } = item.body;
    const headers = { 'if-match': String(item.headers.etag) };
    await server.call('manager', 'PUT', '/equipment/feeder-a1', { body: { ...feeder, breakerA: 225 }, headers });
    expect((await manager.get(path)).text).toContain('The marina has moved on');
    const rebased = await manager.post(path, { do: 'rebase' });
    expect(rebased.location).toBe(`${path}?rebased=1`);
    const after = await manager.get(`${path}?rebased=1`);
    expect(after.text).toContain('now stands on the present inventory');
    expect(after.text).not.toContain('The marina has moved on');
  });

  it('give tables as files, to readers of this marina alone', async () => {
    const path = await begin();
    const table = await manager.get(`${path}/tables/limits`);
    expect(table.headers['content-disposition']).toBe('attachment; filename="limits.csv"');
    expect(table.text).toMatch(/^side,equipmentId/);
    const viewer = browse(server.app);
    await viewer.post('/sign-in', { do: 'token', token: server.tokens.viewer });
    const seen = await viewer.get(path);
    expect([seen.status, seen.text.includes('<form method="post" action="/sign-out"')]).toEqual([200, true]);
    expect(seen.text).not.toContain('name="do" value="settings"');
    const stranger = browse(server.app);
    await stranger.post('/sign-in', { do: 'token', token: server.foreignTokens.manager });
    for (const foreign of [studies, path, `${path}/tables/limits`, `${path}/changes/~new`])
      expect((await stranger.get(foreign)).status, foreign).toBe(404);
    expect((await stranger.get(path.replace('north', 'south'))).status).toBe(404);
  });
});

/** Names and values of the page's fields as it shows them. */
function shownFields(html: string): Record<string, string> {
  const fields: Record<string, string> = {};
  for (const [, name = '', rest = ''] of html.matchAll(/<input[^>]*? name="([^"]+)"([^>]*)>/g))
    fields[name] = /value="([^"]*)"/.exec(rest)?.[1] ?? '';
  for (const [, name = '', options = ''] of html.matchAll(/<select[^>]*? name="([^"]+)"[^>]*>(.*?)<\/select>/gs)) {
    const chosen = [...options.matchAll(/<option([^>]*)>/g)].find(([, rest = '']) => rest.includes('selected'));
    fields[name] = /value="([^"]*)"/.exec(chosen?.[1] ?? '')?.[1] ?? '';
  }
  return fields;
}
