import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { electricalCautions } from '../../../core/cautions.ts';
import { leakage } from '../../../server/calculations/leakage.ts';
import { startTestServer, type TestServer } from '../../support/server.ts';

let server: TestServer;
beforeAll(async () => {
  server = await startTestServer();
});
afterAll(() => server.close());

const post = (body: unknown) => server.call(null, 'POST', leakage.url, { body });
const outlet = { id: 'o1', kind: 'outlet', device: 'fitted', settingMa: 30 };
const rules = (body: { findings: { rule: string; level: string }[] }) =>
  body.findings.map(({ rule, level }) => `${rule} ${level}`);

describe('the leakage calculator', () => {
  // Facts of the trade: boats leak 5 to 20 mA; several sound boats can together trip a 100 mA feeder device.
  it('answers its example: six sound boats trip a feeder', async () => {
    const { status, body } = await post(leakage.example);
    expect(status, JSON.stringify(body)).toBe(200);
    expect(body.devices[0]).toMatchObject({ placeId: 'feeder', sumMa: 102, assessment: 'over', noBound: [] });
    expect(body.outlets[0]).toEqual({
      placeId: 'outlet-1',
      budgetLeftMa: -2,
      tightestPlaceId: 'feeder',
      unknownPlaceIds: [],
    });
    expect(rules(body)[0]).toBe('leakage.overSetting refuse');
    expect(body.cautions).toEqual(electricalCautions);
  });

  it('refuses a boat above 30 mA, and asks where nobody has read', async () => {
    const above = await post({
      places: [{ ...outlet, settingMa: 100 }],
      readings: [{ placeId: 'o1', boatId: 'b', leakageMa: 31 }],
    });
    expect(rules(above.body)).toContain('leakage.boatAboveLimit refuse');
    const unread = await post({ places: [outlet], readings: [{ placeId: 'o1', boatId: 'b' }] });
    expect(unread.body.devices[0].assessment).toBe('notAssessed');
    expect(rules(unread.body)).toEqual(expect.arrayContaining(['leakage.notRead confirm', 'leakage.noBound confirm']));
  });

  it('takes an unknown setting for unknown', async () => {
    const { body } = await post({
      places: [{ id: 'o1', kind: 'outlet', device: 'fitted' }],
      readings: [{ placeId: 'o1', boatId: 'b', leakageMa: 1, takenAt: '2030-06-10T12:00:00Z', loadsOn: true }],
      trips: [{ placeId: 'o1', boatId: 'b' }],
    });
    expect(body.devices[0]).toMatchObject({ assessment: 'notAssessed', budgetLeftMa: null, trips: 1 });
    expect(body.outlets[0].unknownPlaceIds).toEqual(['o1']);
  });

  const deep = Array.from({ length: 41 }, (_, i) => ({
    ...outlet,
    id: `p${i}`,
    aboveId: i === 0 ? null : `p${i - 1}`,
  }));
  it.each([
    ['/places/0/aboveId', { places: [{ ...outlet, aboveId: 'o1' }] }],
    [
      '/places/0/aboveId',
      {
        places: [
          { ...outlet, aboveId: 'later' },
          { ...outlet, id: 'later' },
        ],
      },
    ],
    ['/places/1/id', { places: [outlet, outlet] }],
    ['/places/40/aboveId', { places: deep }],
    ['/readings/0/placeId', { places: [outlet], readings: [{ placeId: 'o2', boatId: 'b', leakageMa: 1 }] }],
    ['/readings/0/leakageMa', { places: [outlet], readings: [{ placeId: 'o1', boatId: 'b', leakageMa: -1 }] }],
    ['/trips/0/placeId', { places: [outlet], trips: [{ placeId: 'o2' }] }],
    ['/places', { places: [] }],
  ])('names %s', async (pointer, body) => {
    expect(await post(body)).toMatchObject({ status: 400, body: { errors: [{ pointer }] } });
  });
});
