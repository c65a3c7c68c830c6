import { afterAll, beforeAll, expect, it } from 'vitest';
import type { TestServer } from '../../support/server.ts';
import { hours, placeTransient, startMarina, usesOfUnit } from './fixture.ts';

// A boat takes as many metres of a face as it is long, and a feeder's breaker trips beyond its rating: facts of the
// trade, common practice.

let server: TestServer;
beforeAll(async () => {
  server = await startMarina();
});
afterAll(() => server.close());

const found = (body: object) => server.call('dockhand', 'POST', '/occupancy-found', { body });
interface Spoken {
  readonly rule: string;
  readonly level: string;
  readonly message: string;
  readonly actual: unknown;
  readonly limit: unknown;
}
const spoken = (reply: { readonly body: { readonly assignment: { readonly findings: readonly Spoken[] } } }) =>
  reply.body.assignment.findings;

it('on a face is asked for its metres, and displaces nobody on the others', async () => {
  await placeTransient(server, { id: 'Gull', berthId: 'BF-1', unitIds: ['BF'], metres: [0, 9], from: -2, until: 40 });
  const place = { berthId: 'BF-1', boat: { name: 'Godwit', lengthOverallM: 8 }, at: hours(0), outletIds: [] };
  const asked = await found(place);
  expect(asked.body).toMatchObject({ status: 400, errors: [{ in: 'body', pointer: '/fromM' }] });
  expect(await usesOfUnit(server, 'BF')).toEqual(['Gull -2-41 0..9 m']);
  const reply = await found({ ...place, fromM: 10, untilM: 18 });
  expect(reply.body.displaced).toEqual([]);
  // Where it lies already is known: nobody is asked twice.
  const again = await found({ berthId: 'BF-1', boat: { boatId: reply.body.boatId }, at: hours(0.5) });
  expect(again.body.assignment).toMatchObject({ fromM: 10, untilM: 18 });
});

it('on a face, reported by a phone that cannot be asked, is put on free metres until somebody says which', async () => {
  const event = { kind: 'wrongBerth', at: hours(0), boatName: 'Knot', berthId: 'BF-2' };
  const reply = await server.call('dockhand', 'PUT', '/dock-events/knot-on-the-face', { body: event });
  expect(reply.status, JSON.stringify(reply.body)).toBeLessThan(300);
  const knot = await server.db.prisma.assignment.findFirstOrThrow({ where: { stay: { boat: { name: 'Knot' } } } });
  expect(knot.findings).toContainEqual(expect.objectContaining({ rule: 'space.metresNotSaid', level: 'confirm' }));
  expect((await usesOfUnit(server, 'BF')).join()).toContain('Gull -2-41 0..9 m');
});

it('entered twice under one name, is told of the other', async () => {
  const first = await found({ berthId: 'A3', boat: { name: 'Ruff' }, at: hours(0), outletIds: [] });
  expect(spoken(first).map(({ rule }) => rule)).not.toContain('space.sameName');
  const second = await found({ berthId: 'A4', boat: { name: 'ruff' }, at: hours(0), outletIds: [] });
  const note = spoken(second).find(({ rule }) => rule === 'space.sameName');
  expect(note).toMatchObject({ level: 'note', actual: first.body.boatId });
});

it('on more outlets than their feeder carries, is told of the feeder', async () => {
  const outletIds = ['a1a', 'a1b', 'a1c', 'a2a', 'a2b', 'a3a', 'a3b', 'a4a'];
  const reply = await found({ berthId: 'A6', boat: { name: 'Spoonbill' }, at: hours(0), outletIds });
  const over = spoken(reply).filter(
    ({ rule, actual, limit }) => rule.startsWith('demand.') && Number(actual) > Number(limit),
  );
  expect(over.length).toBeGreaterThan(0);
});

it('longer than its berth, is told of the length; it lies there all the same', async () => {
  const boat = { name: 'Whimbrel', lengthOverallM: 30 };
  const reply = await found({ berthId: 'A1', boat, at: hours(0), outletIds: [] });
  expect(spoken(reply)).toContainEqual(expect.objectContaining({ rule: 'fit.length', level: 'caution', actual: 30 }));
  expect(spoken(reply).map(({ rule }) => rule)).not.toContain('fit.notJudged');
});
