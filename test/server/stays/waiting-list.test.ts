import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import type { TestServer } from '../../support/server.ts';
import { hours, startMarina } from '../occupancy/fixture.ts';

let server: TestServer;
beforeAll(async () => {
  server = await startMarina();
});
afterAll(() => server.close());

const post = (path: string, body?: object) =>
  server.call('harbormaster', 'POST', path, body === undefined ? {} : { body });

async function request(boatName: string, said: object = {}): Promise<string> {
  const facts = { lengthOverallM: 9, beamM: 3, hull: 'monohull', draftM: 1, plug: '30 A', airConditioning: false };
  const call = { name: 'M. Oduya', boatName, arrival: hours(100), departure: hours(120), ...facts, ...said };
  const reply = await post('/stays', call);
  expect(reply.status).toBe(201);
  return reply.body.stay.id;
}

describe('the waiting list', () => {
  it('is told what falls free, by priority and time, and is served from it in one request', async () => {
    // Everything but A3 is closed: one berth is all that there is.
    const { body: inventory } = await server.call('viewer', 'GET', '/inventory');
    for (const { id } of inventory.spaceUnits) {
      if (id === 'A3') continue;
      const closing = { unitId: id, from: hours(90), until: hours(200), reason: 'dredging' };
      expect((await post('/out-of-service', closing)).status).toBe(201);
    }
    const lies = await request('Avocet');
    expect((await post(`/stays/${lies}/assign`, { berthId: 'A3' })).status).toBe(200);
    const first = await request('Brant');
    server.clock.now += 1_000;
    const second = await request('Crake');
    server.clock.now += 1_000;
    const urgent = await request('Dunlin', { priority: 5 });
    const tooLong = await request('Eider', { lengthOverallM: 40 });

    type Waiting = { stay: { id: string }; fits: { berthId: string }[] };
    const list = async () => {
      const { body } = await server.call('viewer', 'GET', '/waiting-list');
      return body.items.map(({ stay, fits }: Waiting) => [stay.id, fits.map(({ berthId }) => berthId)]);
    };
    expect(await list()).toEqual([
      [urgent, []],
      [first, []],
      [second, []],
      [tooLong, []],
    ]);
    const cancelled = await post(`/stays/${lies}/cancel`);
    expect(
      cancelled.body.nowFits.map(({ stay, fits }: Waiting) => [stay.id, fits.map(({ berthId }) => berthId)]),
    ).toEqual([
      [urgent, ['A3']],
      [first, ['A3']],
      [second, ['A3']],
    ]);
    expect((await list())[0]).toEqual([urgent, ['A3']]);
    const offered = await post(`/stays/${urgent}/offer`, { berthId: 'A3', expiresAt: hours(2) });
    expect(offered.status).toBe(200);
    expect(await list()).toEqual([
      [first, []],
      [second, []],
      [tooLong, []],
    ]);
    // A shorter stay makes room for one that comes after it.
    const later = await request('Fulmar', { arrival: hours(112), departure: hours(118) });
    const shorter = await post(`/stays/${urgent}/reschedule`, { departure: hours(110) });
    expect(shorter.body.nowFits).toMatchObject([{ stay: { id: later }, fits: [{ berthId: 'A3' }] }]);
    const released = await post(`/assignments/${offered.body.id}/release`);
    expect(released.body.nowFits.map(({ stay }: Waiting) => stay.id)).toEqual([urgent, first, second]);
  });

  it('is told of a berth that its holder leaves for a while', async () => {
    const held = await post('/holdings', { berthId: 'A3', holderName: 'Dunne', from: hours(300) });
    expect(held.status).toBe(201);
    const { body: inventory } = await server.call('viewer', 'GET', '/inventory');
    for (const { id } of inventory.spaceUnits) {
      if (id === 'A3') continue;
      await post('/out-of-service', { unitId: id, from: hours(300), until: hours(400), reason: 'dredging' });
    }
    const waits = await request('Gannet', { arrival: hours(310), departure: hours(320) });
    const released = await post(`/holdings/${held.body.id}/absences`, { from: hours(305), until: hours(330) });
    expect(released).toMatchObject({
      status: 201,
      body: { nowFits: [{ stay: { id: waits }, fits: [{ berthId: 'A3' }] }] },
    });
  });
});
