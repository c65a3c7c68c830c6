import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { csvText } from '../../../server/feeds/csv-text.ts';
import type { TestServer } from '../../support/server.ts';
import { hours, startMarina } from '../occupancy/fixture.ts';

let server: TestServer;
beforeAll(async () => {
  server = await startMarina();
});
afterAll(() => server.close());

const call = (method: string, path: string, options = {}) => server.call('manager', method, path, options);

async function feederItem(of: object = {}) {
  const { body } = await call('GET', '/equipment/feeder-a1');
  const { version: _, ...item } = body;
  return { ...item, ...of };
}

async function studyBody(of: object = {}) {
  const { index } = await server.services.inventories.inventoryOf(server.db.prisma, 'north');
  const feeder = index.equipment.get('feeder-a1');
  const change = (id: string, cost: string, items: object[], requires: string[] = []) => ({
    id,
    label: id === 'larger' ? '=HYPERLINK("x")' : id,
    items,
    cost,
    lifeYears: 25,
    outOfServiceDays: 20,
    suppliedBy: 'contractor',
    requires,
  });
  return {
    name: 'Dock A',
    currency: 'USD',
    edition: '2020',
    loan: { ratePercent: '6', years: 10, paymentsPerYear: 1 },
    changes: [
      change('larger', '80000', [
        { collection: 'equipment', id: 'feeder-a1', item: { ...feeder, breakerA: 300, conductorAmpacityA: 310 } },
      ]),
      change(
        'outlet',
        '2000.50',
        [
          {
            collection: 'outlets',
            id: 'a1b',
            item: { ...index.outlets.get('a1b'), groundFault: { device: 'fitted', settingMa: 30, delayMs: 0 } },
          },
        ],
        ['larger'],
      ),
    ],
    ...of,
  };
}

async function begin(of: object = {}): Promise<string> {
  const reply = await call('POST', '/studies', { body: await studyBody(of) });
  expect([reply.status, reply.body.detail]).toEqual([201, undefined]);
  return reply.body.id;
}

describe('a study', () => {
  it('says what is better before and after, what it costs, and what a year of it costs', async () => {
    const id = await begin();
    const { status, body } = await call('GET', `/studies/${id}/comparison?chosen=outlet`);
    expect(status).toBe(200);
    // 6 % over 10 years is 0.13587 of the loan (capital recovery table, from memory): 82,000.50 x 0.135868.
    expect([body.chosen, body.cost, body.yearlyPayment]).toEqual([['larger', 'outlet'], '82000.50', '11141.24']);
    const breaker = (side: { parts: { equipmentId: string; limits: { kind: string; limit: number }[] }[] }) =>
      side.parts.find(({ equipmentId }) => equipmentId === 'feeder-a1')?.limits.find(({ kind }) => kind === 'breaker')
        ?.limit;
    expect([breaker(body.before), breaker(body.after)]).toEqual([200, 300]);
    expect(body.cautions.length).toBeGreaterThan(0);
    const before = await call('GET', '/equipment/feeder-a1');
    expect(before.body.breakerA).toBe(200);
  });

  it('refuses circles, unknown requirements and changes that leave no legal inventory', async () => {
    const [larger, outlet] = (await studyBody()).changes;
    const circle = await call('POST', '/studies', {
      body: await studyBody({ changes: [{ ...larger, requires: ['outlet'] }, outlet] }),
    });
    expect([circle.status, circle.body.detail]).toEqual([422, expect.stringContaining('circle')]);
    const id = await begin({
      changes: [{ ...larger, items: [{ collection: 'equipment', id: 'panel-a', item: null }] }],
    });
    const { status, body } = await call('GET', `/studies/${id}/comparison`);
    expect([status, body.type]).toEqual([422, '/problems/faulty-document']);
  });

  it('is changed only by one who has read it', async () => {
    const id = await begin();
    const body = await studyBody({ name: 'Other' });
    expect((await call('PUT', `/studies/${id}`, { body })).status).toBe(428);
    const changed = await call('PUT', `/studies/${id}`, { body, headers: { 'if-match': '"1"' } });
    expect([changed.status, changed.body.name, changed.body.version]).toEqual([200, 'Other', 2]);
    expect((await call('PUT', `/studies/${id}`, { body, headers: { 'if-match': '"1"' } })).status).toBe(412);
    expect(
      (await server.call('viewer', 'PUT', `/studies/${id}`, { body, headers: { 'if-match': '"2"' } })).status,
    ).toBe(403);
  });

  it('gives its tables as CSV that no spreadsheet runs', async () => {
    const id = await begin();
    const { body } = await call('GET', `/studies/${id}/tables/changes`);
    expect(body.csv.split('\r\n')[1]).toBe(`larger,"'=HYPERLINK(""x"")",80000,USD,25,20,contractor,`);
    for (const table of ['limits', 'sizes', 'volts', 'leakage', 'findings']) {
      const found = await call('GET', `/studies/${id}/tables/${table}`);
      expect([found.status, found.body.csv.split('\r\n').length > 2]).toEqual([200, true]);
    }
    expect(csvText([['a'], ['-1.5'], ['-1+2'], ['@x'], [-3], [null]])).toBe("a\r\n-1.5\r\n'-1+2\r\n'@x\r\n-3\r\n\r\n");
  });

  it('chooses under a budget, with runners-up and the curve', async () => {
    const id = await begin();
    const input = {
      benefits: [
        { id: 'nights', value: 40, needs: ['larger'] },
        { id: 'safe', value: 5, needs: ['outlet'] },
      ],
      stages: [{ id: 'first', budget: '80000', benefitYears: 10 }],
      runnersUp: 1,
      curvePoints: 2,
    };
    const { status, body } = await call('POST', `/studies/${id}/choice`, { body: input });
    expect([status, body.detail]).toEqual([200, undefined]);
    expect(body.best).toEqual({ stageOf: { larger: 'first' }, benefit: 400, cost: '80000.00' });
    expect(body.runnersUp[0]).toMatchObject({ leftOut: ['larger'], benefitLost: 400, costSaved: '80000.00' });
    expect(body.curve.map((point: { benefit: number }) => point.benefit)).toEqual([0, 0, 450]);
  });
});

describe('a replay', () => {
  it('takes the stays of a season on both inventories, with income by the tariff; no change, no difference', async () => {
    const rate = { id: 'night', label: 'night', kind: 'perNight', amount: '40' };
    expect(
      (await call('PUT', '/tariff', { body: { currency: 'USD', lengthCharged: 'begun', rates: [rate], taxes: [] } }))
        .status,
    ).toBe(200);
    const stay = {
      name: 'A. Thorne',
      boatName: 'Halcyon Day',
      lengthOverallM: 11,
      beamM: 3.4,
      draftM: 1.2,
      hull: 'monohull',
      arrival: hours(30),
      departure: hours(78),
      plug: '30 A',
    };
    const asked = await server.call('harbormaster', 'POST', '/stays', { body: stay });
    expect([asked.status, asked.body.detail]).toEqual([201, undefined]);
    const id = await begin({ changes: [] });
    const { status, body } = await call('POST', `/studies/${id}/replay`, {
      body: { chosen: null, from: hours(0), until: hours(200), seasons: 2 },
    });
    expect([status, body.detail]).toEqual([200, undefined]);
    expect(body.before).toEqual(body.after);
    expect(body.before.requests).toBe(1);
    expect(body.before.nightsServed + body.before.nightsTurnedAway).toBe(2);
    expect(body.before.income).toBe(`${40 * body.before.nightsServed}.00`);
    expect(body.difference).toMatchObject({ nightsServed: 0, income: '0.00', newlyServed: [], newlyTurnedAway: [] });
    expect(body.ranges).toMatchObject({ seasons: 2, nightsServed: { low: 0, expected: 0, high: 0 } });
  });
});

describe('what the edition asks besides', () => {
  const obligation = (of: object) => ({
    id: 'ground-fault',
    label: 'Ground-fault protection of the feeder',
    changeIds: ['larger', 'outlet'],
    cost: '4000',
    suppliedBy: 'electrician',
    ...of,
  });

  it('is entered with its cost, counts once in every total, and is to be confirmed by the authority', async () => {
    const { changes } = await studyBody();
    // An outlet put in place without protection: the edition asks for it.
    const [bare] = changes[1]?.items ?? [];
    Object.assign(bare ?? {}, {
      item: { ...Object(bare).item, groundFault: { device: 'none', settingMa: null, delayMs: null } },
    });
    const plain = await call('GET', `/studies/${await begin({ changes })}/comparison`);
    expect(plain.body.obliged.length).toBeGreaterThan(0);
    const rules = [...new Set(plain.body.obliged.map((finding: { rule: string }) => finding.rule))].sort();
    expect([plain.body.costOfObligations, plain.body.rulesNotPriced]).toEqual(['0.00', rules]);
    const id = await begin({ changes, obligations: [obligation({ rule: rules[0] })] });
    const { body } = await call('GET', `/studies/${id}/comparison`);
    expect([body.cost, body.costOfObligations, body.rulesNotPriced]).toEqual(['86000.50', '4000.00', rules.slice(1)]);
    // 6 % over 10 years (capital recovery 0.135868, from memory) of 86,000.50.
    expect(body.yearlyPayment).toBe('11684.71');
    expect(body.obligations).toMatchObject([{ id: 'ground-fault', due: true, toBeConfirmed: true, confirmedBy: null }]);
    const { body: table } = await call('GET', `/studies/${id}/tables/obligations`);
    expect(table.csv.split('\r\n')[1]).toMatch(/^ground-fault,.*,larger outlet,4000,USD,true,electrician,,true$/);
    const { body: study } = await call('GET', `/studies/${id}`);
    expect([study.cost, study.obligations.length]).toEqual(['86000.50', 1]);
  });

  it('makes a change dearer where money is short, and is no choice of its own', async () => {
    const id = await begin({ obligations: [obligation({ changeIds: [] })] });
    const benefits = [{ id: 'nights', value: 40, needs: ['larger'] }];
    const choose = async (budget: string) => {
      const body = { benefits, stages: [{ id: 'first', budget, benefitYears: 10 }], runnersUp: 3, curvePoints: 0 };
      return (await call('POST', `/studies/${id}/choice`, { body })).body;
    };
    expect((await choose('83999')).best).toMatchObject({ stageOf: {}, cost: '0.00' });
    const found = await choose('90000');
    expect(found.best).toEqual({ stageOf: { larger: 'first' }, benefit: 400, cost: '84000.00' });
    const sets = found.runnersUp.map(({ stageOf }: { stageOf: object }) => Object.keys(stageOf).sort().join(' '));
    expect(sets).toEqual(['larger outlet', '']);
  });

  it('is refused for a change that is not there', async () => {
    const body = await studyBody({ obligations: [obligation({ changeIds: ['nowhere'] })] });
    const reply = await call('POST', '/studies', { body });
    expect([reply.status, reply.body.errors[0].pointer]).toEqual([422, '/obligations/0/changeIds']);
  });
});

describe('the season in which it is built', () => {
  it('is replayed on the present inventory with what the changes touch closed, beside doing nothing', async () => {
    const { index } = await server.services.inventories.inventoryOf(server.db.prisma, 'north');
    const berths = index.inventory.berths.map((item) => ({ collection: 'berths', id: item.id, item }));
    const rebuild = {
      id: 'rebuild',
      label: 'rebuild every berth',
      items: berths,
      cost: '5000',
      lifeYears: 25,
      outOfServiceDays: 365,
      suppliedBy: 'contractor',
      requires: [],
    };
    const id = await begin({ changes: [rebuild] });
    const { status, body } = await call('POST', `/studies/${id}/replay`, {
      body: { chosen: null, from: hours(0), until: hours(200), seasons: 2, construction: { from: hours(-24) } },
    });
    expect([status, body.detail]).toEqual([200, undefined]);
    expect(body.construction.closings).toMatchObject([{ changeId: 'rebuild', from: hours(-24) }]);
    expect(body.before.requests).toBeGreaterThan(0);
    // Everything is closed: nobody is served while it is built; afterwards it is as before.
    expect(body.construction.replay).toMatchObject({ served: 0, turnedAway: body.before.requests, income: '0.00' });
    expect(body.construction.difference.nightsServed).toBe(-body.before.nightsServed);
    expect(body.after).toEqual(body.before);
    // Nothing is gained, so what is left of the payment is the payment: 6 % over 10 years of 5,000 (capital recovery 0.135868).
    expect([body.yearlyPayment, body.afterPayment]).toEqual([
      '679.34',
      { recorded: '-679.34', low: '-679.34', expected: '-679.34', high: '-679.34' },
    ]);
    const none = await call('POST', `/studies/${id}/replay`, {
      body: { chosen: null, from: hours(0), until: hours(200) },
    });
    expect(none.body.construction).toBeNull();
  });
});

describe('the marina that moves on', () => {
  it('is told by the study, with what its changes stand on, until it is rebased', async () => {
    const id = await begin();
    const item = await call('GET', '/equipment/feeder-a1');
    const put = await server.call('manager', 'PUT', '/equipment/feeder-a1', {
      body: await feederItem({ breakerA: 225 }),
      headers: { 'if-match': String(item.headers.etag) },
    });
    expect([put.status, put.body?.detail]).toEqual([200, undefined]);
    const read = await call('GET', `/studies/${id}`);
    expect(read.body.movedOn).toBe(true);
    expect(read.body.movedUnder).toEqual([{ changeId: 'larger', collection: 'equipment', id: 'feeder-a1' }]);
    const rebased = await call('POST', `/studies/${id}/rebase`);
    expect([rebased.status, rebased.body.movedOn, rebased.body.movedUnder]).toEqual([200, false, []]);
    const { body } = await call('GET', `/studies/${id}/comparison`);
    const feeder = body.before.parts.find((part: { equipmentId: string }) => part.equipmentId === 'feeder-a1');
    expect(feeder.limits.find((limit: { kind: string }) => limit.kind === 'breaker').limit).toBe(225);
  });
});
