import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { electricalCautions } from '../../../core/cautions.ts';
import { demandPractice } from '../../../core/standards/demand-practices.ts';
import type { TestServer } from '../../support/server.ts';
import { hours, placeTransient, startMarina } from '../occupancy/fixture.ts';

let server: TestServer;
const asDockA = { lines: ['L1', 'L2'] };

beforeAll(async () => {
  server = await startMarina();
  const { headers, body } = await server.call('manager', 'GET', '/equipment/xfmr-a');
  const changed = await server.call('manager', 'PUT', '/equipment/xfmr-a', {
    body: { ...body, ...asDockA },
    headers: { 'if-match': String(headers.etag) },
  });
  if (changed.status !== 200) throw new Error(JSON.stringify(changed.body));
  await placeTransient(server, { id: 'Heron', berthId: 'A2', from: 0, until: 24, outletIds: ['a1a', 'a1c'] });
  await placeTransient(server, { id: 'Plover', berthId: 'A6', from: 6, until: 30, outletIds: ['a4a'] });
});
afterAll(() => server.close());

const volts = (query: string) => server.call('viewer', 'GET', `/volts?${query}`);
interface Pair {
  between: string;
  voltageV: number;
}
const between = (place: { volts: Pair[] }, name: string) =>
  place.volts.find((pair) => pair.between === name)?.voltageV ?? Number.NaN;

describe('volts of a marina at a moment', () => {
  it('names every load and what was assumed of it', async () => {
    const { status, body } = await volts(`at=${hours(1)}&basis=rated`);
    expect(status, JSON.stringify(body)).toBe(200);
    expect(body).toMatchObject({ status: 'solved', basis: 'rated', at: hours(1), cautions: electricalCautions });
    // Two outlets in use on the transformer: table row of 1 to 4 receptacles, 100 % (NEC 555.6).
    expect(demandPractice('nec-555-2020')?.rows[0]).toMatchObject({ from: 1, to: 4, factor: 1 });
    expect(body.shares).toEqual([{ equipmentId: 'xfmr-a', label: 'XFMR-A', receptacles: 2, ratedShare: 1 }]);
    expect(body.loads).toEqual(
      ['a1a', 'a1c'].map((outletId) => ({
        outletId,
        usedBy: { kind: 'assignment', id: 'assignment-Heron', label: 'Heron' },
        from: 'rated',
        share: 1,
        totalVa: null,
      })),
    );
    expect(body.assumptions.join(' ')).toContain('Every outlet in use draws its rating');
  });

  it('has the drop of a hand calculation on the feeder', async () => {
    const { body } = await volts(`at=${hours(1)}&basis=rated`);
    const part = (id: string) => body.parts.find(({ equipmentId }: { equipmentId: string }) => equipmentId === id);
    const feeder = part('feeder-a1');
    const ampere = (name: string) => feeder.currents.find((flow: { name: string }) => flow.name === name).currentA;
    // 30 A and 50 A on L1, 50 A on L2; the neutral carries the difference (volts turn each current by a fraction of a degree).
    expect([ampere('L1'), ampere('L2')].map((a) => Math.round(a * 100) / 100)).toEqual([80, 50]);
    expect(ampere('N')).toBeCloseTo(30, 0);
    // 3/0 copper in PVC, NEC chapter 9 table 9: 0.077 + j 0.042 ohm per 1000 ft at 75 C, power factor 0.85.
    const km = 0.04;
    const perKm = (ohmPerKft: number) => (ohmPerKft / 0.3048) * km;
    const effective = perKm(0.077) * 0.85 + perKm(0.042) * Math.sqrt(1 - 0.85 ** 2);
    const drop = between(part('panel-a'), 'L1-N') - between(feeder, 'L1-N');
    expect(drop).toBeCloseTo(effective * (80 + 30), 1);
    const pedestal = body.pedestals.find(({ pedestalId }: { pedestalId: string }) => pedestalId === 'ped-a1');
    expect(pedestal).toMatchObject({ dockId: 'dock-a', alongDockM: 6, assessment: 'atBest' });
    expect(between(pedestal, 'L1-N')).toBe(between(feeder, 'L1-N'));
    expect(body.totals.supplied.powerW).toBeCloseTo(body.totals.consumed.powerW + body.totals.lost.powerW, 6);
  });

  it('gives no figure behind a conductor that nobody has described, and says what is missing', async () => {
    const { body } = await volts(`at=${hours(7)}`);
    const pedestal = body.pedestals.find(({ pedestalId }: { pedestalId: string }) => pedestalId === 'ped-a4');
    expect(pedestal).toMatchObject({ assessment: 'notAssessed', volts: [] });
    expect(body.findings).toContainEqual(
      expect.objectContaining({
        rule: 'power.notAssessed',
        subject: expect.objectContaining({ id: 'feeder-a2' }),
        missingFact: expect.objectContaining({ fact: 'conductor' }),
      }),
    );
    const others = body.pedestals.find(({ pedestalId }: { pedestalId: string }) => pedestalId === 'ped-a1');
    expect(others.assessment).toBe('atBest');
  });

  it('counts a full rating where nobody has stated a load, and says so', async () => {
    const { body } = await volts(`at=${hours(1)}&basis=stated`);
    expect(body).toMatchObject({ basis: 'stated', practice: null, shares: [] });
    expect(body.loads.every(({ from }: { from: string }) => from === 'rated')).toBe(true);
    expect(body.assumptions.join(' ')).toContain('Of 2 of 2 outlets in use nobody has said what is drawn');
  });

  it('is of now and by the basis that refuses where nothing is asked, and of an empty marina before', async () => {
    const { body } = await volts('');
    expect(body).toMatchObject({ at: hours(0), basis: 'rated' });
    const before = await volts(`at=${hours(-9)}`);
    expect(before.body).toMatchObject({ status: 'solved', loads: [], worst: { share: expect.any(Number) } });
  });

  it.each(['at=x', 'basis=measured', 'colour=blue'])('refuses ?%s', async (query) => {
    expect((await volts(query)).status).toBe(400);
  });
});
