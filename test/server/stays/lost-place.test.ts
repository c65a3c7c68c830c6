import { afterAll, beforeAll, expect, it } from 'vitest';
import type { TestServer } from '../../support/server.ts';
import { hours, placeTransient, startMarina } from '../occupancy/fixture.ts';

// Nobody is sent to a berth that another boat has, nor told to plug into its outlet: facts of the trade, common practice.

let server: TestServer;
beforeAll(async () => {
  server = await startMarina();
});
afterAll(() => server.close());

const found = (body: object) => server.call('dockhand', 'POST', '/occupancy-found', { body });
const read = async (path: string) => (await server.call('harbormaster', 'GET', path)).body;
interface Row {
  readonly stay: { readonly boatName: string };
}
const arrival = async (name: string) =>
  (await read('/arrivals?day=2030-06-10')).items.find(({ stay }: Row) => stay.boatName === name);
const shiftStay = async (id: string) =>
  (await read('/shift?hours=24')).stays.find(({ stayId }: { stayId: string }) => stayId === id);
const sheet = async (id: string) => {
  const made = await server.call('harbormaster', 'POST', `/stays/${id}/sheet`);
  expect(made.status, JSON.stringify(made.body)).toBe(201);
  return made.body.sheet;
};

it('a boat still to come whose berth was lost is sent nowhere', async () => {
  await placeTransient(server, { id: 'Petrel', berthId: 'A1', from: 3, until: 40, outletIds: ['a1a'] });
  expect(await arrival('Petrel')).toMatchObject({ place: { berthLabel: 'A1' }, refused: [] });
  expect(
    (await found({ berthId: 'A1', boat: { name: 'Cuckoo' }, at: hours(0), until: hours(50), outletIds: [] })).status,
  ).toBe(200);
  expect(await arrival('Petrel')).toMatchObject({
    place: null,
    refused: [{ rule: 'space.displaced', level: 'refuse' }],
  });
  expect(await shiftStay('stay-Petrel')).toMatchObject({ place: null, needsBerth: [{ rule: 'space.displaced' }] });
  const told = await sheet('stay-Petrel');
  expect(told).toMatchObject({ place: null, needsBerth: true, verdict: null, outlets: [] });
  expect(told.shortText).toContain('no longer free');
  expect(JSON.stringify(told)).not.toContain('Cuckoo');
});

it('an outlet that was lost is named no more, and the refusal is said', async () => {
  await placeTransient(server, { id: 'Merlin', berthId: 'A3', from: 3, until: 40, outletIds: ['a2a'] });
  const thief = { berthId: 'B1', boat: { name: 'Jay' }, at: hours(0), until: hours(50), outletIds: ['a2a'] };
  expect((await found(thief)).status).toBe(200);
  expect(await arrival('Merlin')).toMatchObject({
    place: { berthLabel: 'A3', assignment: { verdict: 'refused' } },
    refused: [{ rule: 'outlet.displaced', level: 'refuse' }],
  });
  const told = await sheet('stay-Merlin');
  expect(told).toMatchObject({ place: { berth: 'A3' }, verdict: 'refused', outlets: [], adapters: [], power: [] });
  expect(told.shortText).toContain('plug nothing in');
});

it('a boat that is there keeps its last place, and is told what it lost', async () => {
  await placeTransient(server, {
    id: 'Osprey',
    berthId: 'A2',
    from: -2,
    until: 40,
    outletIds: ['a1b'],
    state: 'arrived',
  });
  expect(
    (await found({ berthId: 'A2', boat: { name: 'Magpie' }, at: hours(-1), until: hours(50), outletIds: [] })).status,
  ).toBe(200);
  expect(await arrival('Osprey')).toMatchObject({
    place: { berthLabel: 'A2' },
    refused: [{ rule: 'space.displaced' }],
  });
  expect(await shiftStay('stay-Osprey')).toMatchObject({
    place: { berthId: 'A2' },
    needsBerth: [{ rule: 'space.displaced' }],
  });
});
