import { afterAll, beforeAll, expect, it } from 'vitest';
import type { TestServer } from '../../support/server.ts';
import { hours, placeTransient, startMarina, usesOfOutlet, usesOfUnit } from './fixture.ts';

// Two boats never lie in one place, and an outlet feeds one of them: facts of the trade, common practice.

let server: TestServer;
beforeAll(async () => {
  server = await startMarina();
});
afterAll(() => server.close());

const send = (method: 'GET' | 'POST', path: string, body?: object) =>
  server.call('harbormaster', method, path, body === undefined ? {} : { body });

async function callFor(name: string, from: number, until: number): Promise<string> {
  const reply = await send('POST', '/stays', {
    name: 'Rill',
    boatName: name,
    lengthOverallM: 9,
    hull: 'monohull',
    draftM: 1,
    plug: '30 A',
    airConditioning: false,
    arrival: hours(from),
    departure: hours(until),
  });
  expect(reply.status, JSON.stringify(reply.body)).toBe(201);
  return reply.body.stay.id;
}

interface Said {
  readonly rule: string;
  readonly level: string;
  readonly subject: { readonly id: string };
  readonly actual: unknown;
}
const said = (findings: readonly Said[], actual: string) =>
  findings.filter((each) => each.actual === actual).map(({ rule, level, subject }) => `${rule} ${level} ${subject.id}`);

it('a boat that should have left keeps its berth and outlet until somebody has seen it leave', async () => {
  await placeTransient(server, {
    id: 'Osprey',
    berthId: 'A1',
    from: -5,
    until: -3,
    outletIds: ['a1a'],
    state: 'arrived',
  });
  expect(await usesOfUnit(server, 'A1')).toEqual(['Osprey -5--2', 'Osprey -2-4']);
  expect(await usesOfOutlet(server, 'a1a')).toEqual(['Osprey -5--2', 'Osprey -2-3']);
  const list = await send('GET', '/occupancy');
  expect(list.body.spaces).toMatchObject([{ unitId: 'A1', overdueSince: hours(-3), by: { stayId: 'stay-Osprey' } }]);
  expect(list.body.outlets).toMatchObject([{ outletId: 'a1a', overdueSince: hours(-3) }]);

  // Whoever comes now is not sent there.
  const now = await callFor('Tern', 0, 20);
  const refused = await send('POST', `/stays/${now}/assign`, { berthId: 'A1' });
  expect(refused.status).toBe(409);
  expect(said(refused.body.findings, 'Osprey')).toEqual(['space.taken refuse A1']);
  expect(JSON.stringify(refused.body.findings)).toContain('nobody has entered that it left');

  // Who comes later may be, but somebody has to look first.
  const later = await callFor('Petrel', 6, 28);
  const placed = await send('POST', `/stays/${later}/assign`, { berthId: 'A1' });
  expect(placed.status, JSON.stringify(placed.body)).toBe(200);
  expect(placed.body.verdict).toBe('unconfirmed');
  expect(said(placed.body.findings, 'Osprey')).toContain('space.overdue confirm A1');
  expect((await send('POST', `/stays/${later}/cancel`)).status).toBe(200);

  // Nobody asks of a boat that comes in a week.
  const far = await callFor('Merlin', 24 * 7, 24 * 8);
  const free = await send('POST', `/stays/${far}/assign`, { berthId: 'A1' });
  expect(said(free.body.findings, 'Osprey')).toEqual([]);

  expect((await send('POST', '/stays/stay-Osprey/depart')).status).toBe(200);
  expect((await send('POST', `/stays/${now}/assign`, { berthId: 'A1' })).status).toBe(200);
});

it('a boat that lost its berth while it is there still loads its feeder until somebody has looked', async () => {
  await placeTransient(server, {
    id: 'Heron',
    berthId: 'A3',
    from: -2,
    until: 40,
    outletIds: ['a2a'],
    state: 'arrived',
  });
  const found = { berthId: 'A3', boat: { name: 'Cuckoo' }, at: hours(-1), until: hours(20), outletIds: [] };
  expect((await send('POST', '/occupancy-found', found)).status).toBe(200);
  const { body } = await send('GET', '/occupancy');
  const outlets: { readonly outletId: string }[] = body.outlets;
  expect(outlets.find(({ outletId }) => outletId === 'a2a')).toMatchObject({
    overdueSince: hours(-1),
    by: { stayId: 'stay-Heron' },
  });
  // Its berth is the other boat's, and nobody else's.
  const spaces: { readonly unitId: string; readonly by: { readonly label: string } }[] = body.spaces;
  expect(spaces.filter(({ unitId }) => unitId === 'A3').map(({ by }) => by.label)).toEqual(['Cuckoo']);
});
