import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import type { TestServer } from '../../support/server.ts';
import { book, statedRow } from '../check-ins/fixture.ts';
import { hours, startMarina } from '../occupancy/fixture.ts';

let server: TestServer;
beforeAll(async () => {
  server = await startMarina();
});
afterAll(() => server.close());

let day = -1;
async function booked(given: object = {}) {
  day += 1;
  const stay = await book(server, {
    name: 'Osprey',
    berthId: 'A3',
    from: 24 * day + 2,
    until: 24 * day + 20,
    ...given,
  });
  const made = await server.call('harbormaster', 'POST', `/stays/${stay.stayId}/sheet`);
  expect(made.status).toBe(201);
  const secret: string = made.body.path.replace('/sheets/', '');
  return { ...stay, secret, sheet: made.body.sheet };
}
const read = (secret: string) => server.call(null, 'GET', `/v1/sheets/${secret}`);
const answer = (secret: string, body: object) => server.call(null, 'POST', `/v1/sheets/${secret}/answers`, { body });
/** As after a call that said "50 A" and nothing of cords. */
const ambiguous = {
  inlets: [{ id: 'I1', configurationIds: { value: ['SS1-50', 'SS2-50'], origin: 'phone' } }],
  cordSets: null,
};

describe("a boater's sheet", () => {
  it('says berth, outlet, cord, adapter and what can run, behind a link that is stored as a hash alone', async () => {
    const { secret, stayId, sheet } = await booked();
    expect((await read(secret)).body).toEqual(sheet);
    expect(sheet).toMatchObject({
      issue: 1,
      changes: [],
      place: { berth: 'A3', dock: 'A', orientation: 'bowIn' },
      outlets: [{ label: 'A2-A', configurationId: 'L5-30', breakerA: 30 }],
      adapters: [],
      cords: [{ inletId: 'I1', configurationId: 'L5-30' }],
      power: [{ inletId: 'I1', legs: [{ volts: 120, amperes: 30 }], availableVa: 3600 }],
    });
    expect(sheet.cautions[0]).toContain('stays off until an authorised person');
    expect(sheet.shortText).toContain('A2-A L5-30');
    const stored = await server.db.prisma.boaterSheet.findFirstOrThrow({ where: { stayId } });
    expect(JSON.stringify({ ...stored })).not.toContain(secret);
    expect(secret.length).toBeGreaterThan(43);
  });

  it('is found by its own secret alone, and no longer once a new link is made or it is ended', async () => {
    const { secret, stayId } = await booked();
    expect((await read(`${secret.slice(0, -1)}${secret.endsWith('A') ? 'B' : 'A'}`)).status).toBe(404);
    const again = await server.call('harbormaster', 'POST', `/stays/${stayId}/sheet`);
    expect((await read(secret)).status).toBe(404);
    const newer = again.body.path.replace('/sheets/', '');
    expect((await read(newer)).status).toBe(200);
    expect((await server.call('harbormaster', 'DELETE', `/stays/${stayId}/sheet`)).status).toBe(204);
    expect((await read(newer)).status).toBe(404);
  });

  it('takes answers: the stay is judged anew, the verdict changes, the desk is alerted', async () => {
    const row = await startMarina(statedRow());
    const { stayId, boatId } = await book(row, { name: 'Osprey', berthId: 'S1', from: 2, until: 20, facts: ambiguous });
    const made = await row.call('harbormaster', 'POST', `/stays/${stayId}/sheet`);
    expect(made.body.sheet.verdict).toBe('unconfirmed');
    const asked = (sheet: { questions: { question: string }[] }) =>
      sheet.questions.map(({ question }) => question).join();
    expect(asked(made.body.sheet)).toMatch(/50 A plug/);
    const secret = made.body.path.replace('/sheets/', '');
    const answered = await row.call(null, 'POST', `/v1/sheets/${secret}/answers`, {
      body: {
        inlets: [{ id: 'I1', configurationId: 'SS2-50' }],
        cordSets: [{ lengthM: 15.24, configurationId: 'SS2-50', ratedA: 50 }],
      },
    });
    expect(answered.status).toBe(200);
    expect(answered.body).toMatchObject({ verdict: 'clear', questions: [], issue: 2, outlets: [{ label: 'P1-A' }] });
    expect(answered.body.changes).toEqual(['Hook-up: clear (was: unconfirmed).']);
    const boat = (await row.call('viewer', 'GET', `/boats/${boatId}`)).body;
    expect(boat.inlets[0].configurationIds).toMatchObject({ value: ['SS2-50'], origin: 'boater' });
    expect((await row.call('viewer', 'GET', '/alerts')).body.items).toMatchObject([{ kind: 'boaterAnswered', stayId }]);
    await row.close();
  });

  it('is refused power by an answer that no outlet of the berth serves, and says so', async () => {
    const { secret, stayId } = await booked({ facts: ambiguous });
    const { body } = await answer(secret, { inlets: [{ id: 'I1', configurationId: 'PS-100-120/208-4P5W' }] });
    expect(body.verdict).toBe('refused');
    const stay = (await server.call('viewer', 'GET', `/stays/${stayId}`)).body;
    expect(stay.assignments[0].verdict).toBe('refused');
    expect(stay.stay.state).toBe('promised');
  });

  it('does not overrule what a dockhand has seen, and takes nothing once the boat is here', async () => {
    const seen = { inlets: [{ id: 'I1', configurationIds: { value: ['L5-30'], origin: 'dockhand' } }] };
    const { secret, stayId, boatId } = await booked({ facts: seen });
    await answer(secret, { inlets: [{ id: 'I1', configurationId: 'SS2-50' }] });
    const boat = (await server.call('viewer', 'GET', `/boats/${boatId}`)).body;
    expect(boat.inlets[0].configurationIds.value).toEqual(['L5-30']);
    await server.db.prisma.stay.updateMany({ where: { id: stayId }, data: { state: 'arrived' } });
    expect((await answer(secret, { wantsPower: false })).status).toBe(409);
    await server.db.prisma.stay.updateMany({ where: { id: stayId }, data: { state: 'promised' } });
  });

  it('is issued anew when the plan changes, and says what changed', async () => {
    const { secret, stayId } = await booked();
    const moved = await server.call('harbormaster', 'POST', `/stays/${stayId}/move`, { body: { berthId: 'A4' } });
    expect(moved.status).toBe(200);
    const { body } = await read(secret);
    expect(body).toMatchObject({ issue: 2, place: { berth: 'A4' } });
    expect(body.changes.join()).toMatch(/Berth: A4, bow in, port side to \(was: A3, bow in, port side to\)/);
    expect((await read(secret)).body.issue).toBe(2);
  });

  it('holds a later arrival, and leaves an earlier one to the desk', async () => {
    const { secret, stayId } = await booked();
    const arrivalOf = async () => (await server.call('viewer', 'GET', `/stays/${stayId}`)).body.stay.arrival;
    const late = hours(24 * day + 5);
    expect((await answer(secret, { arrival: late })).body.arrival).toBe(late);
    await answer(secret, { arrival: hours(24 * day + 1) });
    expect(await arrivalOf()).toBe(late);
    const alerts = (await server.call('viewer', 'GET', '/alerts')).body.items;
    expect(alerts.some(({ message }: { message: string }) => message.includes('arrive earlier'))).toBe(true);
    expect((await answer(secret, { arrival: hours(24 * day + 30) })).status).toBe(400);
  });

  it('shows nothing of other boats', async () => {
    await book(server, {
      name: 'Private Neighbour',
      berthId: 'A4',
      from: 24 * (day + 1) + 2,
      until: 24 * (day + 1) + 20,
    });
    const { secret } = await booked();
    expect(JSON.stringify((await read(secret)).body)).not.toContain('Neighbour');
  });
});
