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

describe('the page of meters', () => {
  it('enters a meter, brings readings in with the faults at their lines, and shows three figures', async () => {
    const meter = {
      do: 'keepMeter',
      meterId: 'M1',
      label: 'Feeder <i>A1</i>',
      subjectKind: 'equipment',
      subjectId: 'feeder-a1',
      quantity: 'demandKva',
      intervalMinutes: '15',
    };
    const wrong = await manager.post('/marinas/north/meters', { ...meter, intervalMinutes: '7' });
    expect(wrong.text).toMatch(/id="f-intervalMinutes"[^>]*aria-invalid/);
    expect((await manager.post('/marinas/north/meters', meter)).status).toBe(303);
    const text = [
      'meterId,from,value',
      'M1,2030-06-01T00:00:00-05:00,12.5',
      'M1,2030-06-01T00:15:00-05:00,-3',
      'M2,2030-06-01T00:15:00-05:00,4',
      'M1,2030-06-01T00:30:00-05:00,20',
    ].join('\n');
    const stored = await manager.post('/marinas/north/meters', { do: 'import', text });
    expect(stored.text).toContain('2 stored, 0 stood there already, 2 refused.');
    for (const line of [3, 4]) expect(stored.text).toMatch(new RegExp(`<th[^>]*>${line}</th>`));
    const shown = await manager.get('/marinas/north/meters?from=2030-06-01&until=2030-06-02');
    expect(shown.text).toContain('20.0 kVA at');
    expect(shown.text).toContain('Feeder &lt;i>A1&lt;/i>');
    const file = /href="(\/v1\/[^"]*measured-load\/export[^"]*)"/.exec(shown.text)?.[1]?.replaceAll('&amp;', '&') ?? '';
    expect((await manager.get(file)).headers['content-type']).toContain('text/csv');
    const note = { do: 'keepNote', kind: 'bill', from: '2030-06-01', until: '2030-06-01', energyKwh: '900' };
    expect((await manager.post('/marinas/north/meters', { ...note, suppliedBy: 'utility' })).status).toBe(303);
    const noted = await manager.get('/marinas/north/meters?from=2030-06-01&until=2030-06-02');
    expect(noted.text).toContain('Energy, kWh: 900');
    const stranger = browse(server.app);
    await stranger.post('/sign-in', { do: 'token', token: server.foreignTokens.manager });
    for (const page of ['meters', 'tariff']) expect((await stranger.get(`/marinas/north/${page}`)).status).toBe(404);
  });
});

describe('the page of the tariff', () => {
  it('is entered row by row, shows a fault at its field, and is read by others', async () => {
    const rows = {
      do: 'keep',
      version: '0',
      currency: 'usd',
      lengthCharged: 'begun',
      ratesCount: '2',
      taxesCount: '1',
      'rates/0/label': 'Summer',
      'rates/0/kind': 'perFootNight',
      'rates/0/amount': '2.75',
      'rates/0/season/from': '05-15',
      'rates/0/season/until': '10-01',
      'rates/0/longerThanM': '40 ft',
      'taxes/0/label': 'State',
      'taxes/0/percent': '6.5',
    };
    const refused = await manager.post('/marinas/north/tariff', { ...rows, 'rates/0/amount': 'a lot' });
    expect(refused.text).toMatch(/id="f-rates-0-amount"[^>]*aria-invalid/);
    expect((await manager.post('/marinas/north/tariff', rows)).location).toBe('/marinas/north/tariff?kept=1');
    const { body } = await server.call('viewer', 'GET', '/tariff');
    // 40 ft are 12.192 m exactly (1 ft = 0.3048 m).
    expect(body.rates).toMatchObject([
      { id: 'rate-1', amount: '2.75', longerThanM: 12.192, season: { from: '05-15', until: '10-01' } },
    ]);
    expect(body.taxes).toEqual([{ id: 'tax-1', label: 'State', percent: '6.5', onRateIds: null }]);
    const kept = await manager.post('/marinas/north/tariff', {
      ...rows,
      version: '1',
      'rates/1/label': 'Power',
      'rates/1/kind': 'perKwh',
      'rates/1/amount': '0.21',
    });
    expect(kept.status).toBe(303);
    expect((await server.call('viewer', 'GET', '/tariff')).body.rates[1]).toMatchObject({
      id: 'rate-2',
      kind: 'perKwh',
    });
    const viewer = browse(server.app);
    await viewer.post('/sign-in', { do: 'token', token: server.tokens.viewer });
    const read = await viewer.get('/marinas/north/tariff');
    expect([read.text.includes('2.75 USD'), read.text.includes('name="do" value="keep"')]).toEqual([true, false]);
  });
});
