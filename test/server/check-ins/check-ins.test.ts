import { afterAll, beforeAll, beforeEach, describe, expect, it } from 'vitest';
import type { TestServer } from '../../support/server.ts';
import { hours, startMarina, usesOfOutlet, usesOfUnit } from '../occupancy/fixture.ts';
import { type Booked, type Booking, book as bookAt, checkIn as checkInOf, eventId, soundReadings } from './fixture.ts';

let server: TestServer;
beforeAll(async () => {
  server = await startMarina();
});
afterAll(() => server.close());

/** Each test has a day of its own, so that they do not meet; hours count from its noon. */
let day = -1;
beforeEach(() => {
  day += 1;
});
const hour = (count: number) => 24 * day + count;
const at = (count: number) => hours(hour(count));
const book = (booking: Pick<Booking, 'name' | 'berthId'> & Partial<Booking>) =>
  bookAt(server, { ...booking, from: hour(1), until: hour(20) });
const checkIn = (booked: Booked, outletId: string, given: object = {}) =>
  checkInOf(booked, outletId, { at: at(1), ...given });

const send = (body: object, id = eventId()) => server.call('dockhand', 'PUT', `/dock-events/${id}`, { body });
const read = (path: string) => server.call('viewer', 'GET', path);
const later = (count: number) => {
  server.clock.now = Date.parse(at(count));
};
const alertsOf = async ({ stayId }: Booked): Promise<string[]> => {
  const { items } = (await read('/alerts')).body;
  const own = items.filter((alert: { stayId: string | null }) => alert.stayId === stayId);
  return own.map(({ kind }: { kind: string }) => kind).sort();
};
const messagesOf = (reply: { body: { contradictions: { about: string }[] } }) =>
  reply.body.contradictions.map(({ about }) => about);

describe('a check-in', () => {
  it('is stored once under the id of the phone, however often it is sent', async () => {
    const osprey = await book({ name: 'Osprey', berthId: 'A3' });
    later(1.1);
    const event = checkIn(osprey, 'a2a');
    const id = eventId();
    const [first, second] = await Promise.all([send(event, id), send(event, id)]);
    const third = await send(event, id);
    expect([first.status, second.status].sort()).toEqual([200, 201]);
    expect(third.status).toBe(200);
    expect(third.body).toEqual(first.body);
    expect(first.body).toMatchObject({ outcome: 'poweredWithConditions', contradictions: [] });
    expect((await read(`/dock-events?stayId=${osprey.stayId}`)).body.items).toHaveLength(1);
    expect((await read(`/stays/${osprey.stayId}`)).body.stay.state).toBe('arrived');
    const changes = await server.db.prisma.change.findMany({ where: { marinaId: 'north', kind: 'dock.checkIn' } });
    expect(changes).toHaveLength(1);
    const other = await send({ ...event, note: 'another one' }, id);
    expect(other.status).toBe(422);
  });

  it('takes over what is really there, with origin dockhand, and shows both sides', async () => {
    const osprey = await book({ name: 'Osprey', berthId: 'A3' });
    later(1.1);
    const boat = {
      inlets: [{ id: 'I1', configurationId: 'SS2-50', mainBreakerA: 50 }],
      cordSets: [{ id: 'K1', lengthM: 10, configurationId: 'SS2-50', ratedA: 50 }],
    };
    const { body } = await send(checkIn(osprey, 'a2b', { boat }));
    // The feeder's load of this other outlet was not accepted by the desk: an unknown line above it decides.
    expect(body.outcome).toBe('heldWithoutPower');
    expect(body.findings.find(({ level }: { level: string }) => level === 'confirm').rule).toBe(
      'demand.unknownPrimary',
    );
    expect(body.contradictions.map(({ message }: { message: string }) => message).join('\n')).toMatch(
      /plug: seen SS2-50, told L5-30 \(phone\)/,
    );
    expect(messagesOf({ body })).toContain('outlets');
    const facts = (await read(`/boats/${osprey.boatId}`)).body;
    expect(facts.inlets[0].configurationIds).toEqual({ value: ['SS2-50'], origin: 'dockhand', at: at(1) });
    expect(await usesOfOutlet(server, 'a2b')).toContain(`Osprey ${hour(1)}-${hour(21)}`);
    expect(await usesOfOutlet(server, 'a2a')).not.toContain(`Osprey ${hour(1)}-${hour(21)}`);
    const stay = (await read(`/stays/${osprey.stayId}`)).body;
    expect(stay.assignments[0]).toMatchObject({ verdict: 'unconfirmed', power: { outletIds: ['a2b'] } });
    const alerts = await alertsOf(osprey);
    expect(alerts.filter((kind) => kind === 'contradiction')).toHaveLength(body.contradictions.length);
    expect(alerts).toContain('shutDown');
  });

  it('is refused with what would mend it where the cord does not fit, and keeps what was kept', async () => {
    const osprey = await book({ name: 'Osprey', berthId: 'A3' });
    later(1.1);
    const boat = { cordSets: [{ id: 'K1', lengthM: 10, configurationId: 'SS2-50', ratedA: 50 }] };
    const { body } = await send(checkIn(osprey, 'a2a', { boat, energised: false, phoneOutcome: 'refused' }));
    expect(body.outcome).toBe('refused');
    expect(body.findings[0]).toMatchObject({ rule: 'hookup.cordMissing', mend: 'a cord set of L5-30' });
    expect(await usesOfOutlet(server, 'a2a')).toContain(`Osprey ${hour(1)}-${hour(21)}`);
    expect(await alertsOf(osprey)).toEqual(['contradiction', 'withoutPower']);
  });

  it('with the boat on although the rules refuse is kept, and the desk is told to have it shut down', async () => {
    const osprey = await book({ name: 'Osprey', berthId: 'A3' });
    later(1.1);
    const readings = soundReadings('a2a').map((each) => (each.name === 'leakageMa' ? { ...each, value: 41 } : each));
    const { body } = await send(checkIn(osprey, 'a2a', { readings, phoneOutcome: 'powered' }));
    expect(body.outcome).toBe('refused');
    expect(messagesOf({ body })).toEqual(['verdict']);
    expect(await alertsOf(osprey)).toEqual(['contradiction', 'shutDown']);
  });

  it('is never refused as stale: the desk moved the boat meanwhile, and the boat lies where it lies', async () => {
    const osprey = await book({ name: 'Osprey', berthId: 'A3' });
    await server.call('harbormaster', 'POST', `/stays/${osprey.stayId}/move`, { body: { berthId: 'A4' } });
    const merlin = await book({ name: 'Merlin', berthId: 'A3' });
    later(1.5);
    const reply = await send(checkIn(osprey, 'a2a'));
    expect(reply.status).toBe(201);
    expect(messagesOf(reply)).toEqual(expect.arrayContaining(['berth']));
    expect(await usesOfUnit(server, 'A3')).toContain(`Osprey ${hour(1)}-${hour(21)}`);
    expect((await read(`/stays/${merlin.stayId}`)).body.stay.needsBerth).not.toBeNull();
    const stay = (await read(`/stays/${osprey.stayId}`)).body;
    expect(stay.assignments.at(-1)).toMatchObject({ berthId: 'A3', verdict: 'cautioned' });
  });

  it('of a stay that the desk cancelled, or does not have, is kept and shown', async () => {
    const osprey = await book({ name: 'Osprey', berthId: 'A3' });
    await server.call('harbormaster', 'POST', `/stays/${osprey.stayId}/cancel`, {});
    later(1.1);
    const cancelled = await send(checkIn(osprey, 'a2a'));
    expect(messagesOf(cancelled)).toEqual(expect.arrayContaining(['stay', 'berth']));
    expect((await read(`/stays/${osprey.stayId}`)).body.stay.state).toBe('arrived');
    const unknown = await send(checkIn({ ...osprey, stayId: 'never-heard-of' }, 'a2a'));
    expect(unknown).toMatchObject({ status: 201, body: { stayId: null, outcome: null } });
    expect(messagesOf(unknown)).toEqual(['stay']);
  });

  it('names an unknown plug as a fault of the input', async () => {
    const osprey = await book({ name: 'Osprey', berthId: 'A3' });
    const boat = { inlets: [{ id: 'I1', configurationId: 'no such plug' }] };
    expect((await send(checkIn(osprey, 'a2a', { boat }))).status).toBe(400);
  });

  it('without a mandatory reading is held, with whatever reason; what is mandatory the marina says', async () => {
    const osprey = await book({ name: 'Osprey', berthId: 'A3' });
    later(1.1);
    const readings = soundReadings('a2a').map((each) =>
      each.name === 'leakageMa' ? { ...each, value: null, notMeasuredBecause: 'no clamp here' } : each,
    );
    const held = await send(checkIn(osprey, 'a2a', { readings, energised: false }));
    expect(held.body.outcome).toBe('heldWithoutPower');
    const { body, headers } = await read('/check-in-settings');
    const mandatoryReadings = body.mandatoryReadings.filter((name: string) => name !== 'leakageMa');
    const stored = await server.call('manager', 'PUT', '/check-in-settings', {
      body: { ...body, mandatoryReadings },
      headers: { 'if-match': String(headers.etag) },
    });
    expect(stored.status).toBe(200);
    const conditional = await send(checkIn(osprey, 'a2a', { readings }));
    expect(conditional.body.outcome).toBe('poweredWithConditions');
  });
});

const reserving = (outletId: string) => ({
  adapters: [{ ref: 'A', kindId: 'own-step-down', from: 'stock', stockId: 'stock-step-down' }],
  joints: [
    { from: { kind: 'outlet', outletId }, to: { kind: 'plug', adapter: 'A', fitting: 'P1' } },
    {
      from: { kind: 'connector', adapter: 'A', fitting: 'C1' },
      to: { kind: 'inlet', inletId: 'I1', configurationId: 'L5-30' },
    },
  ],
});

const stepDown = {
  adapters: [{ kindId: 'own-step-down', from: 'stock', stockId: 'stock-step-down' }],
};

describe('adapters lent', () => {
  it('are out of stock until they are back; what a boat leaves with stays out and is overdue', async () => {
    const osprey = await book({ name: 'Osprey', berthId: 'A3', hookUp: reserving('a2b') });
    later(1.1);
    const lent = await send(checkIn(osprey, 'a2b', stepDown));
    expect(lent.body.outcome).toMatch(/^powered/);
    const { items } = (await read('/adapter-loans')).body;
    expect(items).toMatchObject([{ stockId: 'stock-step-down', boatName: 'Osprey', isOverdue: false }]);
    const free = async () => (await server.call('dockhand', 'GET', '/shift')).body.stock[0].free;
    expect(await free()).toBe(1);

    later(19);
    await send({ kind: 'departure', at: at(19), stayId: osprey.stayId });
    expect(await alertsOf(osprey)).toContain('adapterMissing');
    later(24 * 3);
    expect(await free()).toBe(1);
    expect((await read('/adapter-loans?state=overdue')).body.items).toMatchObject([{ isOverdue: true }]);
    await send({ kind: 'adapterBack', at: at(24 * 3), loanId: items[0].id });
    expect(await free()).toBe(2);
    expect((await read('/adapter-loans')).body.items).toEqual([]);
    day += 3;
  });

  it('come back at departure, and go out once though the check-in is entered again', async () => {
    const osprey = await book({ name: 'Osprey', berthId: 'A3', hookUp: reserving('a2b') });
    later(1.1);
    await send(checkIn(osprey, 'a2b', stepDown));
    await send(checkIn(osprey, 'a2b', { ...stepDown, note: 'looked at again' }));
    const { items } = (await read('/adapter-loans')).body;
    expect(items).toHaveLength(1);
    later(19);
    const left = await send({
      kind: 'departure',
      at: at(19),
      stayId: osprey.stayId,
      adaptersBack: [{ loanId: items[0].id, note: 'sound' }],
    });
    expect(left.body.contradictions).toEqual([]);
    const all = (await read('/adapter-loans?state=all')).body.items;
    expect(all.at(-1)).toMatchObject({ id: items[0].id, returnedAt: at(19), returnedNote: 'sound' });
    expect((await server.call('dockhand', 'GET', '/shift')).body.stock[0].free).toBe(2);
    expect(await usesOfUnit(server, 'A3')).toContain(`Osprey ${hour(1)}-${hour(20)}`);
    expect(await usesOfOutlet(server, 'a2b')).toContain(`Osprey ${hour(1)}-${hour(19)}`);
    expect((await read(`/stays/${osprey.stayId}`)).body.stay.state).toBe('departed');
  });

  it('stay out when the desk itself enters the departure', async () => {
    const osprey = await book({ name: 'Osprey', berthId: 'A3', hookUp: reserving('a2b') });
    later(1.1);
    await send(checkIn(osprey, 'a2b', stepDown));
    const { items } = (await read('/adapter-loans')).body;
    later(19);
    const left = await server.call('harbormaster', 'POST', `/stays/${osprey.stayId}/depart`, { body: { at: at(19) } });
    expect(left.status).toBe(200);
    const free = async () => (await server.call('dockhand', 'GET', '/shift')).body.stock[0].free;
    expect(await free()).toBe(1);
    await send({ kind: 'adapterBack', at: at(19), loanId: items.at(-1).id });
    later(19.1);
    expect(await free()).toBe(2);
  });

  it('that are reserved are kept for their boat: lending the last one to another is shown', async () => {
    await book({ name: 'Merlin', berthId: 'A2', hookUp: reserving('a1c') });
    await book({ name: 'Petrel', berthId: 'B3', hookUp: reserving('b2b') });
    const osprey = await book({ name: 'Osprey', berthId: 'A3' });
    later(1.1);
    const shift = (await server.call('dockhand', 'GET', '/shift')).body;
    expect(shift.stock[0]).toMatchObject({ free: 0, quantity: 2 });
    expect(shift.stock[0].reservedFor).toHaveLength(2);
    const reply = await send(checkIn(osprey, 'a2b', stepDown));
    expect(messagesOf(reply)).toContain('adapters');
  });
});

describe('trouble at the dock', () => {
  it('an outlet burnt is out of service at once, and whoever had it is told', async () => {
    const osprey = await book({ name: 'Osprey', berthId: 'A3' });
    later(2);
    const { body } = await send({ kind: 'outletFault', at: at(2), outletId: 'a2a', note: 'scorched\ncontacts' });
    expect(body.contradictions).toEqual([]);
    const closed = (await read('/out-of-service')).body.items;
    expect(closed).toMatchObject([{ outletId: 'a2a', from: at(2), until: null, reason: 'scorched contacts' }]);
    const stay = (await read(`/stays/${osprey.stayId}`)).body;
    expect(stay.assignments[0].verdict).toBe('refused');
    const { items } = (await read('/alerts')).body;
    expect(items.find(({ kind }: { kind: string }) => kind === 'outletFault').message).toContain('Osprey');
    later(3);
    const path = `/out-of-service/${closed[0].id}/end`;
    const ended = await server.call('harbormaster', 'POST', path, {
      body: { at: at(3) },
      headers: { 'if-match': '*' },
    });
    expect(ended.status).toBe(200);
  });

  it('a boat on the wrong berth is entered where it lies', async () => {
    const osprey = await book({ name: 'Osprey', berthId: 'A3' });
    later(2);
    await send({ kind: 'wrongBerth', at: at(2), stayId: osprey.stayId, berthId: 'A4', outletIds: ['a2a'] });
    expect(await usesOfUnit(server, 'A4')).toContain(`Osprey ${hour(2)}-${hour(21)}`);
    const stranger = await send({ kind: 'wrongBerth', at: at(2), boatName: 'Stranger', berthId: 'A1' });
    expect(stranger.body.stayId).not.toBeNull();
    expect((await usesOfUnit(server, 'A1')).join()).toContain(`Stranger ${hour(2)}-`);
  });

  it('trips and hot contacts count against outlet and boat, and trips enter the leakage sums', async () => {
    // Whoever came before has left: a boat that was not seen to leave is still read and counted.
    const gone = { where: { state: 'arrived' }, data: { state: 'departed' } };
    await server.db.prisma.stay.updateMany(gone);
    const osprey = await book({ name: 'Osprey', berthId: 'A3' });
    later(1.1);
    await send(checkIn(osprey, 'a2a'));
    later(2);
    await send({ kind: 'trip', at: at(2), outletId: 'a2a', stayId: osprey.stayId });
    await send({ kind: 'hotContact', at: at(2), outletId: 'a2a', stayId: osprey.stayId });
    const shift = (await server.call('dockhand', 'GET', '/shift')).body;
    expect(shift.stays.find(({ stayId }: Booked) => stayId === osprey.stayId)).toMatchObject({
      troubles: 2,
      checkedIn: { outcome: 'poweredWithConditions', energised: true },
    });
    expect(shift.outlets.find(({ id }: { id: string }) => id === 'a2a').troubles).toBe(2);
    const { body } = await read('/leakage');
    expect(body.boats).toContainEqual(expect.objectContaining({ leakageMa: 8, trips: 1 }));
    const feeder = body.devices.find(({ placeId }: { placeId: string }) => placeId === 'equipment:feeder-a1');
    expect(feeder).toMatchObject({ settingMa: 100, sumMa: 8, boats: 1, unreadBoats: 0, trips: 0 });
    expect(feeder.contributors).toEqual([expect.objectContaining({ leakageMa: 8, share: 1, trips: 1 })]);
  });

  it('is no business of another marina', async () => {
    const osprey = await book({ name: 'Osprey', berthId: 'A3' });
    const authorization = `Bearer ${server.foreignTokens.dockhand}`;
    for (const path of ['/shift', '/dock-events', '/adapter-loans', '/leakage', '/alerts']) {
      const reply = await server.call(null, 'GET', path, { headers: { authorization } });
      expect(reply.status, path).toBe(404);
    }
    const put = await server.call(null, 'PUT', '/dock-events/x', {
      headers: { authorization },
      body: checkIn(osprey, 'a2a'),
    });
    expect(put.status).toBe(404);
  });
});
