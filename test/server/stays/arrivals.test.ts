import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { electricalCautions } from '../../../core/cautions.ts';
import { type Finding, missingFactsOf } from '../../../core/findings.ts';
import { type TestServer, testNow } from '../../support/server.ts';
import { startMarina } from '../occupancy/fixture.ts';

let server: TestServer;
beforeAll(async () => {
  server = await startMarina();
});
afterAll(() => server.close());

const post = (path: string, body?: object) =>
  server.call('harbormaster', 'POST', path, body === undefined ? {} : { body });
const arrivals = (query = '') => server.call('dockhand', 'GET', `/arrivals${query}`);

async function request(said: object): Promise<string> {
  const facts = { name: 'M. Oduya', phone: '+1 555 0110', lengthOverallM: 9, beamM: 3, draftM: 1, plug: '30 A' };
  const reply = await post('/stays', { ...facts, arrival: '2030-06-10', departure: '2030-06-12', ...said });
  return reply.body.stay.id;
}

describe("a day's arrivals", () => {
  it('say where each boat goes, how it is connected and what is still to ask; those without a berth come first', async () => {
    const placed = await request({ boatName: 'Placed', arrival: '2030-06-10T12:00:00-04:00' });
    const open = await request({ boatName: 'Open', plug: '50 A' });
    const options = await server.call('viewer', 'GET', `/stays/${placed}/berth-options`);
    const best = options.body.options.find(({ connection }: { connection: unknown }) => connection !== null);
    const assigned = await post(`/stays/${placed}/assign`, { berthId: best.berthId });
    expect(assigned.status).toBe(200);

    const { status, body } = await arrivals();
    expect(status).toBe(200);
    expect(body).toMatchObject({ day: '2030-06-10', timeZone: 'America/New_York', cautions: electricalCautions });
    expect(body.items.map(({ stay }: { stay: { id: string } }) => stay.id)).toEqual([open, placed]);
    const [without, going] = body.items;
    expect(without.place).toBeNull();
    expect(without.toConfirm.map(({ fact }: { fact: string }) => fact)).toContain('inlets.0.configurationIds');
    expect(going).toMatchObject({
      stay: { state: 'promised', name: 'M. Oduya', phone: '+1 555 0110' },
      boat: { name: 'Placed', inlets: [{ configurationIds: { value: ['L5-30'] } }] },
      place: { berthLabel: best.label, assignment: assigned.body },
    });
    expect(going.place.assignment.power.connection.hookUp).toEqual(best.connection.hookUp);
    expect(going.place.assignment.power.cords).toEqual(best.cords);
    expect(going.place.assignment.power.tightest).toEqual(best.tightest);
    expect(going.place.outlets.map(({ id }: { id: string }) => id)).toEqual(best.outletIds);
    expect(going.place.adapters).toHaveLength(best.connection.hookUp.adapters.length);
    const asked = assigned.body.findings.flatMap((finding: Finding) =>
      finding.level === 'confirm' ? missingFactsOf(finding).map(({ question }) => question) : [],
    );
    expect(asked.length).toBeGreaterThan(0);
    expect(new Set(going.toConfirm.map(({ question }: { question: string }) => question))).toEqual(new Set(asked));

    await post(`/stays/${open}/cancel`);
    expect((await arrivals()).body.items).toHaveLength(1);
  });

  it("are those of the marina's day, not of Greenwich's", async () => {
    const late = await request({ arrival: '2030-06-20T23:30:00-04:00', departure: '2030-06-22' });
    const early = await request({ arrival: '2030-06-21T00:00:00-04:00', departure: '2030-06-22' });
    const on = async (query: string) =>
      (await arrivals(query)).body.items.map(({ stay }: { stay: { id: string } }) => stay.id);
    expect(await on('?day=2030-06-20')).toEqual([late]);
    expect(await on('?day=2030-06-21')).toEqual([early]);
    server.clock.now = Date.UTC(2030, 5, 21, 3, 59);
    expect(await on('')).toEqual([late]);
    server.clock.now = Date.UTC(2030, 5, 21, 4);
    expect(await on('')).toEqual([early]);
    server.clock.now = testNow;
  });

  it('are asked for by a day of the calendar', async () => {
    for (const day of ['2026-02-30', 'today', '0000-01-01', '9999-12-31', '2030-06-10T00:00:00Z']) {
      expect((await arrivals(`?day=${day}`)).status, day).toBe(400);
    }
    expect((await arrivals('?day=2030-01-01')).body.items).toEqual([]);
  });
});
