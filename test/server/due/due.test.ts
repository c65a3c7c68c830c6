import { afterAll, beforeAll, beforeEach, expect, it } from 'vitest';
import { startClockJob } from '../../../server/due/clock-job.ts';
import { type TestServer, testNow } from '../../support/server.ts';
import { hours, placeTransient, startMarina } from '../occupancy/fixture.ts';

let server: TestServer;
beforeAll(async () => {
  server = await startMarina();
});
afterAll(() => server.close());
beforeEach(() => {
  server.clock.now = testNow;
});

const post = (path: string, body?: object) =>
  server.call('harbormaster', 'POST', path, body === undefined ? {} : { body });
const alerts = async () => (await server.call('dockhand', 'GET', '/alerts')).body.items;

it('an offer and a block lapse by the clock though nobody asks, once, and whoever reads the database sees it', async () => {
  const { body } = await post('/stays', {
    ...{ name: 'M. Oduya', boatName: 'Avocet', lengthOverallM: 9, beamM: 3, hull: 'monohull', draftM: 1 },
    ...{ plug: 'no power', arrival: hours(100), departure: hours(120) },
  });
  const { body: options } = await server.call('viewer', 'GET', `/stays/${body.stay.id}/berth-options`);
  const [{ berthId }] = options.options;
  expect((await post(`/stays/${body.stay.id}/offer`, { berthId, expiresAt: hours(2) })).status).toBe(200);
  const other = server.services.inventories;
  const { index } = await other.inventoryOf(server.db.prisma, 'north');
  const free = index.inventory.berths.find(({ id, unitIds }) => id !== berthId && unitIds.length === 1);
  const block = { name: 'Meet', contactName: 'R. Achterberg', from: hours(90), until: hours(95), cutOff: hours(3) };
  expect((await post('/groups', { ...block, berthIds: [free?.id] })).status).toBe(201);

  const kindsSince = async () => {
    const rows = await server.db.prisma.change.findMany({ where: { actor: 'service' }, orderBy: { seq: 'asc' } });
    return rows.map(({ kind }) => kind);
  };
  const errors: unknown[] = [];
  const jobs = [1, 2].map(() => startClockJob(server.services, (error) => errors.push(error), 10));
  try {
    await new Promise((resolve) => setTimeout(resolve, 100));
    expect(await kindsSince()).toEqual([]);
    server.clock.now = Date.parse(hours(4));
    await expect.poll(kindsSince).toEqual(expect.arrayContaining(['offers.lapsed', 'group.lapsed']));
  } finally {
    await Promise.all(jobs.map((job) => job.stop()));
  }
  expect(errors).toEqual([]);
  const where = { marinaId: 'north' };
  expect(await server.db.prisma.stay.findFirst({ where: { ...where, id: body.stay.id } })).toMatchObject({
    state: 'requested',
    offerExpiresAt: null,
  });
  expect(await server.db.prisma.spaceUse.count({ where })).toBe(0);
});

it('the desk is told once of a boat that nobody has recorded by the hour of the marina, and its berth is kept', async () => {
  // noShowHour is 22: 22:00 in New York (UTC-4) is 02:00 UTC of the next day, 14 hours after the test clock's start.
  await placeTransient(server, { id: 'Brant', berthId: 'A3', from: 4, until: 40 });
  server.clock.now = Date.parse(hours(14)) - 1;
  expect(await alerts()).toEqual([]);
  server.clock.now = Date.parse(hours(14));
  expect(await alerts()).toMatchObject([{ kind: 'notCome', stayId: 'stay-Brant' }]);
  server.clock.now = Date.parse(hours(20));
  const [alert, ...more] = await alerts();
  expect(more).toEqual([]);
  expect(alert.message).toContain('"Brant" was to come');
  const { body } = await server.call('viewer', 'GET', '/stays/stay-Brant');
  expect(body).toMatchObject({ stay: { state: 'promised' }, assignments: [{ berthId: 'A3' }] });
  expect((await post('/stays/stay-Brant/no-show')).body).toMatchObject({ state: 'noShow' });
});
