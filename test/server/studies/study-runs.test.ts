import { setTimeout as wait } from 'node:timers/promises';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { createServices } from '../../../server/services.ts';
import { beginRun } from '../../../server/studies/study-runs.ts';
import { type Browsing, browse } from '../../support/browse.ts';
import type { TestServer } from '../../support/server.ts';
import { hours, startMarina } from '../occupancy/fixture.ts';

let server: TestServer;
let manager: Browsing;
let studyId: string;
let path: string;
beforeAll(async () => {
  server = await startMarina();
  manager = browse(server.app);
  await manager.post('/sign-in', { do: 'token', token: server.tokens.manager });
  const { index } = await server.services.inventories.inventoryOf(server.db.prisma, 'north');
  const change = (id: string, cost: string, items: object[]) => ({
    id,
    label: `Change <b>${id}</b>`,
    items,
    cost,
    lifeYears: 25,
    outOfServiceDays: 20,
    suppliedBy: 'invented',
    requires: [],
  });
  const feeder = { ...index.equipment.get('feeder-a1'), breakerA: 300 };
  const body = {
    name: 'Dock A',
    currency: 'USD',
    edition: '2020',
    loan: { ratePercent: '6', years: 10, paymentsPerYear: 1 },
    changes: [
      change('larger', '80000', [{ collection: 'equipment', id: 'feeder-a1', item: feeder }]),
      change('sign', '500', []),
    ],
  };
  studyId = (await server.call('manager', 'POST', '/studies', { body })).body.id;
  path = `/marinas/north/studies/${studyId}`;
  const rates = [{ id: 'night', label: 'night', kind: 'perNight', amount: '40' }];
  await server.call('manager', 'PUT', '/tariff', {
    body: { currency: 'USD', lengthCharged: 'begun', rates, taxes: [] },
  });
  const stay = { name: 'A. Thorne', boatName: 'Halcyon Day', lengthOverallM: 11, beamM: 3.4, draftM: 1.2 };
  for (const n of [0, 1, 2]) {
    const dates = { arrival: hours(30 + n), departure: hours(78) };
    await server.call('harbormaster', 'POST', '/stays', {
      body: { ...stay, ...dates, hull: 'monohull', plug: '30 A' },
    });
  }
});
afterAll(() => server.close());

const runs = (rest = '') => `/studies/${studyId}/runs${rest}`;
const replay = { chosen: null, from: hours(0), until: hours(200), seasons: 1 };

async function ended(id: string) {
  for (let n = 0; n < 300; n++) {
    const { body } = await server.call('viewer', 'GET', runs(`/${id}`));
    if (body.state !== 'running') return body;
    await wait(20);
  }
  throw new Error('The run has not ended within 6 s.');
}

describe('a run of a study', () => {
  it('is answered at once, worked on, and kept as it came out; sent twice it is one', async () => {
    const asked = { body: { replay }, headers: { 'idempotency-key': 'a-replay-of-the-season' } };
    const first = await server.call('manager', 'POST', runs(), asked);
    expect([first.status, first.body.state, first.headers.location]).toEqual([
      202,
      'running',
      `/v1/marinas/north${runs(`/${first.body.id}`)}`,
    ]);
    expect((await server.call('manager', 'POST', runs(), asked)).body.id).toBe(first.body.id);
    const done = await ended(first.body.id);
    expect([done.state, done.progress, done.isCurrent, done.choice]).toEqual(['done', 1, true, null]);
    // The same season by the route that answers in the request.
    const direct = await server.call('manager', 'POST', `/studies/${studyId}/replay`, { body: replay });
    expect(done.replay).toEqual(direct.body);
    const list = await server.call('viewer', 'GET', runs('?kind=replay'));
    expect(list.body.items.map(({ id }: { id: string }) => id)).toEqual([first.body.id]);
    const { body } = await server.call('viewer', 'GET', runs(`/${done.id}/tables/totals`));
    const { nightsServed } = done.replay.before;
    expect(body.csv).toContain(`nightsServed,${nightsServed},${done.replay.after.nightsServed}\r\n`);
    expect((await server.call('viewer', 'GET', runs(`/${done.id}/tables/curve`))).status).toBe(404);
  });

  it('of a choice replays its finalists, stage by stage, and says so', async () => {
    const choice = {
      benefits: [
        { id: 'nights', value: 40, needs: ['larger'] },
        { id: 'safe', value: 5, needs: ['sign'] },
      ],
      stages: [
        { id: 'first', budget: '500', benefitYears: 10 },
        { id: 'second', budget: '80000', benefitYears: 9 },
      ],
      runnersUp: 1,
      curvePoints: 0,
      verifyOver: { from: hours(0), until: hours(200) },
    };
    const direct = await server.call('manager', 'POST', `/studies/${studyId}/choice`, { body: choice });
    expect([direct.status, direct.body.verification]).toMatchObject([200, { state: 'notYet', finalists: [] }]);
    const { body: run } = await server.call('manager', 'POST', runs(), { body: { choice } });
    const done = await ended(run.id);
    expect([done.state, done.failure]).toEqual(['done', null]);
    const { best, runnersUp, verification } = done.choice;
    expect({ best, runnersUp }).toEqual({ best: direct.body.best, runnersUp: direct.body.runnersUp });
    expect(best.stageOf).toEqual({ sign: 'first', larger: 'second' });
    expect(verification).toMatchObject({ state: 'verified', calls: 3, from: hours(0), until: hours(200) });
    const sets = verification.finalists.map((each: { place: number; stageId: string; chosen: string[] }) => [
      each.place,
      each.stageId,
      [...each.chosen].sort(),
    ]);
    expect(sets).toEqual([
      [0, 'first', ['sign']],
      [0, 'second', ['larger', 'sign']],
      [1, 'second', Object.keys(runnersUp[0].stageOf)],
    ]);
    for (const { chosen, addedNights, addedIncome, nightsTurnedAway } of verification.finalists) {
      const body = { ...replay, chosen, seasons: 0 };
      const { body: alone } = await server.call('manager', 'POST', `/studies/${studyId}/replay`, { body });
      const { difference } = alone;
      expect([addedNights, addedIncome, nightsTurnedAway]).toEqual([
        difference.nightsServed,
        difference.income,
        difference.nightsTurnedAway,
      ]);
    }
    expect(verification.orderHolds).toBe(true);
    const { body: table } = await server.call('viewer', 'GET', runs(`/${run.id}/tables/verification`));
    expect(table.csv.split('\r\n')[1]).toMatch(/^0,first,sign,verified,0,0,0.00,$/);
    const notAsked = await server.call('manager', 'POST', runs(), {
      body: { choice: { ...choice, verifyOver: null } },
    });
    expect((await ended(notAsked.body.id)).choice.verification.state).toBe('notAsked');
  });

  it('is for those who may change the study, and for one thing at a time', async () => {
    expect((await server.call('viewer', 'POST', runs(), { body: { replay } })).status).toBe(403);
    expect((await server.call('manager', 'POST', runs(), { body: {} })).status).toBe(400);
    const foreign = `/v1/marinas/south${runs()}`;
    expect((await server.call('manager', 'GET', foreign)).status).toBe(404);
  });

  it('says what refused it', async () => {
    const body = { replay: { ...replay, chosen: ['unknown'] } };
    const { body: run } = await server.call('manager', 'POST', runs(), { body });
    expect(await ended(run.id)).toMatchObject({ state: 'failed', failure: expect.stringContaining('"unknown"') });
  });

  it('ends when the service stops, and says so', async () => {
    const services = createServices({ db: server.db, clock: () => server.clock.now });
    const principal = { id: 'manager', marinaId: 'north', name: 'M', role: 'manager' } as const;
    const input = { replay: { longerThanM: 0, longerFactor: 1, growth: 0, seed: 1, ...replay, seasons: 20 } };
    const asked = { principal, now: server.clock.now, idempotency: null, studyId, input };
    const run = await beginRun(services, asked as Parameters<typeof beginRun>[1]);
    await services.background.stop();
    expect(await ended(run.id)).toMatchObject({ state: 'failed', failure: expect.stringContaining('stopped') });
    // One that fell silent with its service reads the same.
    await server.db.prisma.studyRun.updateMany({
      where: { id: run.id },
      data: { state: 'running', failure: null, beatAt: new Date(Date.now() - 120_000) },
    });
    expect((await server.call('viewer', 'GET', runs(`/${run.id}`))).body).toMatchObject({ state: 'failed' });
  });
});

describe('the pages of replay and choice', () => {
  it('ask for a replay, watch it, and show what it came to with its tables', async () => {
    const fields = { do: 'run', chosen: ['larger'], 'replay/from': '2030-06-10', 'replay/until': '2030-06-20' };
    const sent = await manager.post(`${path}/replay`, { ...fields, 'replay/growth': '10', 'replay/seasons': '1' });
    expect([sent.status, sent.location]).toEqual([303, expect.stringContaining('/replay?run=')]);
    const run = await ended(String(sent.location).split('run=')[1] ?? '');
    expect(run.asked.replay).toMatchObject({ chosen: ['larger'], growth: 0.1, seasons: 1 });
    const shown = await manager.get(sent.location ?? '');
    expect(shown.text).not.toContain('hx-get');
    expect(shown.text).toContain('10 % more calls.');
    expect(shown.text).toContain('Change &lt;b>larger&lt;/b>');
    const table = await manager.get(`${path}/runs/${run.id}/tables/peaks`);
    expect(table.text).toMatch(/^equipmentId,label/);
    const faulty = await manager.post(`${path}/replay`, { ...fields, 'replay/growth': 'many' });
    expect(faulty.text).toMatch(/id="f-replay-growth"[^>]*aria-invalid/);
  });

  it('choose under a budget, with joint benefits and what decides', async () => {
    const sent = await manager.post(`${path}/choice`, {
      do: 'choose',
      'choice/benefits/0/value': '40',
      'choice/benefits/1/value': '1',
      'choice/benefits/2/value': '5',
      'needs-0': ['larger', 'sign'],
      'choice/stages/0/budget': '80500',
      'choice/stages/0/benefitYears': '10',
    });
    const run = await ended(String(sent.location).split('run=')[1] ?? '');
    expect(run.choice.best).toEqual({
      stageOf: { larger: 'stage-1', sign: 'stage-1' },
      benefit: 460,
      cost: '80500.00',
    });
    const shown = await manager.get(sent.location ?? '');
    // Best without the sign: 60 less benefit, 500 saved.
    expect(shown.text).toContain('leaves out Change &lt;b>sign&lt;/b>; 60 less benefit, 500.00 USD saved');
    expect((await manager.get(`${path}/runs/${run.id}/tables/curve`)).text).toMatch(/^budget USD,benefit/);
  });

  it('stand together in the report, where every figure leads to what it stands on, without a script', async () => {
    // Of all the study's changes there is a replay already; of one alone there is another.
    for (const chosen of ['', '?chosen=larger']) {
      const { status, text } = await manager.get(`${path}/report${chosen}`);
      expect(status).toBe(200);
      expect(text).not.toContain('<script');
      expect(text).not.toContain('<b>');
      expect(Buffer.byteLength(text)).toBeLessThan(100_000);
      // Wherever the page leads on itself, there is such a place.
      const places = new Set([...text.matchAll(/ id="([^"]+)"/g)].map(([, id]) => id));
      const leads = [...text.matchAll(/href="#([^"]+)"/g)].map(([, id]) => id);
      expect(leads.filter((id) => !places.has(id))).toEqual([]);
      expect(leads).toContain('change-larger');
      for (const words of ['Nights and income', 'Benefit against cost', 'Chance of passing a limit', 'invented'])
        expect(text).toContain(words);
      // Each table has its file.
      const files = [...text.matchAll(/class="csv" href="([^"]+)"/g)].map(([, href = '']) =>
        href.replaceAll('&amp;', '&'),
      );
      expect(files.length).toBeGreaterThan(12);
      for (const file of files) {
        const answer = await manager.get(file);
        expect([answer.status, answer.headers['content-type']], file).toEqual([200, 'text/csv; charset=utf-8']);
      }
    }
    const viewer = browse(server.app);
    await viewer.post('/sign-in', { do: 'token', token: server.tokens.viewer });
    expect((await viewer.get(`${path}/report`)).status).toBe(200);
    const stranger = browse(server.app);
    await stranger.post('/sign-in', { do: 'token', token: server.foreignTokens.manager });
    for (const page of ['report', 'replay', 'choice', 'tables/limits'])
      expect((await stranger.get(`${path}/${page}`)).status, page).toBe(404);
  });

  it('say that the study has changed since', async () => {
    const { body: study } = await server.call('manager', 'GET', `/studies/${studyId}`);
    const { name, currency, edition, loan, changes } = study;
    await server.call('manager', 'PUT', `/studies/${studyId}`, {
      body: { name: `${name} again`, currency, edition, loan, changes },
      headers: { 'if-match': `"${study.version}"` },
    });
    expect((await manager.get(`${path}/choice`)).text).toContain('The study has changed since this was reckoned');
  });
});
