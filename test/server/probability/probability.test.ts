import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { loadProbability } from '../../../server/calculations/load-probability.ts';
import type { TestServer } from '../../support/server.ts';
import { hours, placeTransient, startMarina } from '../occupancy/fixture.ts';

let server: TestServer;
beforeAll(async () => {
  server = await startMarina();
  await placeTransient(server, { id: 'cormorant', berthId: 'A1', from: 1, until: 50, outletIds: ['a1b'] });
});
afterAll(() => server.close());

const call = (path: string) => server.call('manager', 'GET', path);
const ask = (query: string) => call(`/demand/probability?equipmentId=feeder-a1&${query}`);

describe('the chances of a part', () => {
  it('are those of the boats plugged in at the chosen hour, by season, with what is assumed', async () => {
    const empty = await ask(`at=${hours(0)}&season=summer&draws=0`);
    expect([empty.status, empty.body.detail]).toEqual([200, undefined]);
    const { status, body } = await ask(`at=${hours(3)}&season=summer&partOfDay=afternoon&draws=2000`);
    expect([status, body.detail]).toEqual([200, undefined]);
    expect([body.partOfDay, body.part.boats]).toEqual(['afternoon', empty.body.part.boats + 1]);
    // The boat's facts are unknown: the largest class counts, and every cycle is an assumption that is named.
    expect(body.part.assumptions.join(' ')).toMatch(/assumed by their length/);
    expect(body.part.assumptions.join(' ')).toMatch(/"reverse-cycle heat pump": 0.85 \(assumption of this project/);
    expect(body.part.demandFactor.limits.map(({ kind }: { kind: string }) => kind)).toContain('breaker');
    expect(body.part.limitsNotAssessed).toContain('neutral');
    for (const { line, meanA, connectedA, limits } of body.part.exact) {
      // Mean of a sum: the sum of means, whatever the convolution did.
      const mean = body.part.loads.reduce(
        (sum: number, load: { count: number; chance: number; currentsA: Record<string, number> }) =>
          sum + load.count * load.chance * (load.currentsA[line] ?? 0),
        0,
      );
      expect(meanA).toBeCloseTo(mean, 9);
      expect(connectedA).toBeGreaterThanOrEqual(meanA);
      for (const { kind, chanceAbove } of limits) {
        const { byLine } = body.part.simulated.limits.find((limit: { kind: string }) => limit.kind === kind);
        expect(Math.abs(byLine[line].chance - chanceAbove.atMost)).toBeLessThan(
          6 * byLine[line].standardError + chanceAbove.atMost - chanceAbove.atLeast,
        );
      }
    }
    expect(body.cautions.length).toBeGreaterThan(0);
  });

  it('grow with a boat on every outlet, and take the part of the day from the marina’s clocks', async () => {
    const inUse = await ask(`at=${hours(3)}&draws=0`);
    const full = await ask(`at=${hours(3)}&draws=0&boats=everyOutlet`);
    // 10 June 2030, 15:00 UTC is 11:00 in New York, 10:00 in Chicago.
    expect(inUse.body.partOfDay).toBe('morning');
    expect(full.body.part.exact[0].meanA).toBeGreaterThan(inUse.body.part.exact[0].meanA);
    expect(full.body.part.demandFactor.demandVa).toBeGreaterThan(inUse.body.part.demandFactor.demandVa);
    expect(full.body.part.assumptions[0]).toMatch(/assumption of this project/);
  });

  it('are told for a study before and after, and refused for what is not there', async () => {
    const { index } = await server.services.inventories.inventoryOf(server.db.prisma, 'north');
    const item = { ...index.equipment.get('feeder-a1'), breakerA: 400 };
    const created = await server.call('manager', 'POST', '/studies', {
      body: {
        name: 'Dock A',
        currency: 'USD',
        edition: '2020',
        loan: null,
        changes: [
          {
            id: 'larger',
            label: 'larger',
            items: [{ collection: 'equipment', id: 'feeder-a1', item }],
            cost: '1',
            lifeYears: 20,
            outOfServiceDays: 0,
            suppliedBy: 'test',
            requires: [],
          },
        ],
      },
    });
    expect([created.status, created.body.detail]).toEqual([201, undefined]);
    const path = `/studies/${created.body.id}/probability?boats=everyOutlet&draws=0`;
    const { status, body } = await call(`${path}&equipmentId=feeder-a1`);
    expect([status, body.detail]).toEqual([200, undefined]);
    const breaker = (side: { exact: { limits: { kind: string; limitA: number }[] }[] }) =>
      side.exact[0]?.limits.find(({ kind }) => kind === 'breaker')?.limitA;
    expect([breaker(body.before), breaker(body.after)]).toEqual([200, 400]);
    expect((await call(`${path}&equipmentId=nowhere`)).status).toBe(404);
  });
});

describe('the calculator', () => {
  const post = (body: unknown) => server.call(null, 'POST', '/v1/calculations/load-probability', { body });

  it('gives the example worked by hand: more than 3 of 5 at one half is 6 of 32', async () => {
    const { status, body } = await post(loadProbability.example);
    expect([status, body.detail]).toEqual([200, undefined]);
    const [{ chanceAbove }] = body.exact[0].limits;
    expect([chanceAbove.atLeast, chanceAbove.atMost]).toEqual([6 / 32, 6 / 32]);
    const { chance, standardError } = body.simulated.limits[0].anyLine;
    expect(Math.abs(chance - 6 / 32)).toBeLessThan(5 * standardError);
  });

  it('marks a duty cycle of its table as assumed, and what it does not know as always on', async () => {
    const loads = [
      { label: 'water heater', count: 1, currentsA: { L1: 12.5 } },
      { label: 'ship organ', count: 1, currentsA: { L1: 20 } },
    ];
    const { body } = await post({ loads, limits: [], draws: 0, season: 'summer', partOfDay: 'night' });
    expect(body.exact[0].meanA).toBeCloseTo(0.1 * 12.5 + 20, 9);
    expect(body.assumptions.join(' ')).toMatch(/assumption of this project.*"ship organ".*always on/);
  });

  it('refuses lines that are not named, and work without end', async () => {
    const load = { label: 'x', count: 1000, chance: 0.5, currentsA: { L1: 10 } };
    const line = await post({ loads: [{ ...load, currentsA: { L2: 1 } }], limits: [] });
    expect([line.status, line.body.errors[0].pointer]).toEqual([400, '/loads/0/currentsA/L2']);
    const many = { loads: Array.from({ length: 500 }, () => load), limits: [] };
    const draws = await post(many);
    expect([draws.status, draws.body.errors[0].pointer]).toEqual([400, '/draws']);
    const step = await post({ ...many, draws: 0, stepA: 0.001 });
    expect([step.status, step.body.errors[0].pointer]).toEqual([400, '/stepA']);
  });
});
