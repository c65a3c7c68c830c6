import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import type { OutletUse } from '../../../core/berths/occupancy.ts';
import { electricalCautions } from '../../../core/cautions.ts';
import { demandAt } from '../../../core/electrical/demand/demand-at.ts';
import { designDemand } from '../../../core/electrical/demand/design-demand.ts';
import { peakDemand } from '../../../core/electrical/demand/peak-demand.ts';
import { openEnd } from '../../../core/periods.ts';
import { practiceOf } from '../../../server/berth-options/question.ts';
import type { TestServer } from '../../support/server.ts';
import { hours, placeTransient, startMarina } from '../occupancy/fixture.ts';

let server: TestServer;

// Heron and Egret follow one another on A2; Plover lies on a feeder without limits; R. Dunlin holds B2 for good.
const placed = [
  { id: 'Heron', berthId: 'A2', from: 0, until: 24, outletIds: ['a1a', 'a1c'] },
  { id: 'Egret', berthId: 'A4', from: 12, until: 48, outletIds: ['a2b'] },
  { id: 'Plover', berthId: 'A6', from: 6, until: 30, outletIds: ['a4a'] },
  { id: 'Tern', berthId: 'B3', from: 20, until: 26, outletIds: ['b2b', 'b2a'] },
];

beforeAll(async () => {
  server = await startMarina();
  for (const transient of placed) await placeTransient(server, transient);
  const body = { berthId: 'B2', holderName: 'R. Dunlin', from: hours(0), until: null, outlets: [{ outletId: 'b1b' }] };
  const held = await server.call('harbormaster', 'POST', '/holdings', { body });
  if (held.status !== 201) throw new Error(JSON.stringify(held.body));
});
afterAll(() => server.close());

/** The same uses, written out by hand: outlets stay taken for the turnover hour. */
const uses: readonly OutletUse[] = [
  ...placed.flatMap(({ id, from, until, outletIds }) =>
    outletIds.map((outletId) => ({
      outletId,
      statedVa: null,
      from: Date.parse(hours(from)),
      until: Date.parse(hours(until + 1)),
      by: { kind: 'assignment' as const, id, label: id },
    })),
  ),
  {
    outletId: 'b1b',
    statedVa: null,
    from: Date.parse(hours(0)),
    until: openEnd,
    by: { kind: 'holding', id: 'held', label: 'R. Dunlin' },
  },
];

async function marina() {
  const { index } = await server.services.inventories.inventoryOf(server.db.prisma, 'north');
  return { index, practice: practiceOf(index) };
}

const plain = (value: unknown) => JSON.parse(JSON.stringify(value));

describe('demand at a moment', () => {
  it.each([-1, 0, 6, 12.5, 21, 24.5, 40, 300])('is core’s on the same uses, %d hours on', async (hour) => {
    const { index, practice } = await marina();
    const at = hours(hour);
    const { status, body } = await server.call('viewer', 'GET', `/demand?at=${at}`);
    expect(status, JSON.stringify(body)).toBe(200);
    const expected = demandAt(index, practice, uses, Date.parse(at));
    expect(body.parts).toHaveLength(index.inventory.equipment.length);
    for (const [i, { rated, stated }] of expected.entries()) {
      for (const wanted of [rated, stated]) {
        const found = body.parts[i][wanted.basis];
        expect(body.parts[i].equipmentId).toBe(wanted.equipmentId);
        expect(found.counted).toEqual({
          receptacles: wanted.receptacles,
          connectedVa: wanted.connectedVa,
          appliedFactor: wanted.appliedFactor,
          otherLoadVa: wanted.otherLoadVa,
          channels: wanted.channels,
        });
        expect(found.demandVa).toEqual({ value: wanted.demandVa, at });
        expect(found.limits).toEqual(plain(wanted.limits).map((check: object) => ({ ...check, at })));
        expect(found.assessment).toBe(wanted.assessment);
        expect(found.findings).toEqual(plain(wanted.findings));
        for (const [line, value] of Object.entries(wanted.lineA)) expect(found.lineA[line]).toEqual({ value, at });
      }
    }
  });

  it('shows the count and the factor that each figure comes from', async () => {
    const { body } = await server.call('viewer', 'GET', `/demand/xfmr-a?at=${hours(21)}`);
    const [{ rated, stated }] = body.parts;
    const { appliedFactor, otherLoadVa, channels } = rated.counted;
    expect(rated.demandVa.value).toBeCloseTo(appliedFactor.factor * appliedFactor.countedVa + otherLoadVa, 9);
    for (const channel of channels) {
      expect(channel.demandVa).toBeCloseTo(channel.factor * channel.countedVa + channel.otherLoadVa, 9);
    }
    const va = (of: { channel: string; demandVa: number }[], name: string) =>
      of.find(({ channel }) => channel === name)?.demandVa ?? 0;
    // 120/240 V split-phase: what hangs on L1-N and on L1-L2 is in phase, so the amperes of a line simply add.
    for (const { lineA, counted } of [rated, stated]) {
      for (const line of ['L1', 'L2']) {
        const amperes = va(counted.channels, line) / 120 + va(counted.channels, 'L1-L2') / 240;
        expect(lineA[line].value).toBeCloseTo(amperes, 9);
      }
    }
    expect(stated.counted.channels).toContainEqual(expect.objectContaining({ count: null, factor: null }));
  });

  it('is of now where nothing is asked', async () => {
    const { body } = await server.call('dockhand', 'GET', '/demand');
    expect(body).toMatchObject({ from: hours(0), until: null, countingBasis: 'larger', refusingBasis: 'rated' });
  });

  it('carries the practice with its source, the revision and the cautions', async () => {
    const { body } = await server.call('viewer', 'GET', '/demand');
    expect(body.practice).toMatchObject({ id: 'nec-555-2020', source: { fromMemory: false } });
    expect(body.practice.source.title).toContain('555.6');
    expect(body.inventoryRevision).toBeGreaterThan(0);
    expect(body.cautions).toEqual(electricalCautions);
  });

  it('never calls a part without limits within them', async () => {
    const { body } = await server.call('viewer', 'GET', `/demand/feeder-a2?at=${hours(7)}`);
    expect(body.parts).toHaveLength(1);
    expect(body.parts[0]).toMatchObject({ equipmentId: 'feeder-a2', rated: { assessment: 'notAssessed' } });
    const rules = body.parts[0].rated.findings.map(({ rule }: { rule: string }) => rule);
    expect(rules).toEqual(expect.arrayContaining(['demand.notAssessed', 'demand.unknownLines']));
  });
});

describe('demand over a period', () => {
  it('is the peak of each line and limit with its time, as core has it', async () => {
    const { index, practice } = await marina();
    const period = { from: Date.parse(hours(-5)), until: Date.parse(hours(60)) };
    const { status, body } = await server.call('viewer', 'GET', `/demand?from=${hours(-5)}&until=${hours(60)}`);
    expect(status, JSON.stringify(body)).toBe(200);
    const iso = (at: number) => new Date(at).toISOString();
    for (const [i, { rated, stated }] of peakDemand(index, practice, uses, period).entries()) {
      for (const wanted of [rated, stated]) {
        const found = body.parts[i][wanted.basis];
        expect(found.counted).toBeNull();
        expect(found.demandVa).toEqual({ value: wanted.demandVa.value, at: iso(wanted.demandVa.at) });
        expect(found.limits).toEqual(plain(wanted.limits.map((check) => ({ ...check, at: iso(check.at) }))));
        expect(found.findings).toEqual(plain(wanted.findings));
      }
    }
  });

  it('begins its peak where the last of the boats comes', async () => {
    // All four transients and the holder are there from hour 20 on: the service carries most from then on.
    const { body } = await server.call('viewer', 'GET', `/demand/svc?from=${hours(0)}&until=${hours(72)}`);
    expect(body.parts[0].rated.demandVa.at).toBe(hours(20));
    expect(body).toMatchObject({ from: hours(0), until: hours(72) });
  });

  it.each([
    `from=${'x'}`,
    `from=${'2030-06-10T12:00:00Z'}`,
    `from=2030-06-11T12:00:00Z&until=2030-06-10T12:00:00Z`,
    `from=2030-06-10T12:00:00Z&until=2035-06-10T12:00:00Z`,
    `at=2030-06-10T12:00:00Z&from=2030-06-10T12:00:00Z&until=2030-06-11T12:00:00Z`,
    'at=2030-02-30T12:00:00Z',
    'colour=blue',
  ])('refuses ?%s', async (query) => {
    const reply = await server.call('viewer', 'GET', `/demand?${query}`);
    expect(reply).toMatchObject({ status: 400, body: { type: '/problems/invalid-input' } });
  });

  it('knows only parts of this marina, for tokens of this marina', async () => {
    for (const path of ['/demand/none', '/demand/design?equipmentId=none']) {
      expect((await server.call('viewer', 'GET', path)).status, path).toBe(404);
    }
    for (const path of ['/demand', '/demand/svc', '/demand/design']) {
      expect((await server.call('viewer', 'GET', `/v1/marinas/south${path}`)).status, path).toBe(404);
      expect((await server.call(null, 'GET', path)).status, path).toBe(401);
    }
  });
});

describe('design demand', () => {
  it.each(['', '?countingBasis=mostLoadedLine', '?countingBasis=all&subMeterFactor=true'])(
    'is core’s on the same inventory: %s',
    async (query) => {
      const { index, practice } = await marina();
      const { status, body } = await server.call('manager', 'GET', `/demand/design${query}`);
      expect(status, JSON.stringify(body)).toBe(200);
      const countingBasis = query.includes('mostLoadedLine') ? 'mostLoadedLine' : 'all';
      const expected = designDemand(index, practice, null, { countingBasis, subMeterFactor: query.includes('true') });
      expect(body.countingBasis).toBe(countingBasis);
      expect(body.parts).toHaveLength(expected.length);
      for (const [i, { basis: _, ...wanted }] of expected.entries()) {
        expect(body.parts[i]).toMatchObject(plain(wanted));
      }
    },
  );

  it('is read again only where the inventory has changed', async () => {
    const first = await server.call('viewer', 'GET', '/demand/design');
    const headers = { 'if-none-match': String(first.headers.etag) };
    expect((await server.call('viewer', 'GET', '/demand/design', { headers })).status).toBe(304);
  });
});
