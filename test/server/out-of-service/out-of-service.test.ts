import { afterAll, beforeAll, beforeEach, describe, expect, it } from 'vitest';
import { type TestServer, testNow } from '../../support/server.ts';
import { hours, placeTransient, startMarina, usesOfOutlet, usesOfUnit } from '../occupancy/fixture.ts';

let server: TestServer;
beforeAll(async () => {
  server = await startMarina();
});
afterAll(() => server.close());
beforeEach(() => {
  server.clock.now = testNow;
});

const close = (period: object) => server.call('dockhand', 'POST', '/out-of-service', { body: period });

describe('an outlet out of service', () => {
  it('burnt while in use: the use ends at that moment, the boat keeps its berth and must be judged anew', async () => {
    const outletIds = ['a1a', 'a1b'];
    await placeTransient(server, { id: 'Tern', berthId: 'A1', from: -2, until: 20, outletIds, state: 'arrived' });
    await placeTransient(server, { id: 'Knot', berthId: 'A2', from: 30, until: 40, outletIds: ['a1a'] });
    const closed = await close({ outletId: 'a1a', from: hours(1), until: hours(35), reason: 'scorched contacts' });
    expect(closed.status).toBe(201);
    expect(closed.body).toMatchObject({
      outOfService: { outletId: 'a1a', until: hours(35), version: 1 },
      displaced: [
        { stayId: 'stay-Tern', lost: 'outlet', from: hours(1) },
        { stayId: 'stay-Knot', lost: 'outlet', from: hours(30) },
      ],
    });
    expect(closed.body.displaced[0].findings[0].message).toMatch(/Tern.*A1-A.*scorched contacts/);
    expect(await usesOfUnit(server, 'A1')).toEqual(['Tern -2-21']);
    expect(await usesOfOutlet(server, 'a1a')).toEqual(['Tern -2-1', 'scorched contacts 1-35']);
    expect(await usesOfOutlet(server, 'a1b')).toEqual(['Tern -2-21']);
    const assignment = await server.db.prisma.assignment.findFirstOrThrow({ where: { stayId: 'stay-Tern' } });
    expect(assignment).toMatchObject({ verdict: 'refused', version: 2, findings: [{ rule: 'outlet.displaced' }] });
    const stay = await server.db.prisma.stay.findFirstOrThrow({ where: { id: 'stay-Tern' } });
    expect(stay).toMatchObject({ state: 'arrived', needsBerth: [{ rule: 'outlet.displaced', level: 'refuse' }] });
  });

  it('in the turnover time of a boat that has left displaces nobody', async () => {
    await placeTransient(server, { id: 'Sora', berthId: 'B4', from: -9, until: 3, outletIds: ['b2c'] });
    const closed = await close({ outletId: 'b2c', from: hours(3), until: hours(9), reason: 'inspection' });
    expect(closed.body.displaced).toEqual([]);
    expect(await usesOfOutlet(server, 'b2c')).toEqual(['Sora -9-3', 'inspection 3-9']);
  });

  it('takes the outlet from the resident boat while it lasts, and gives it back at its end', async () => {
    const outlets = [{ outletId: 'b2a', loadVa: null, loadOrigin: 'default' }];
    const holding = { berthId: 'B3', holderName: 'Orme', from: hours(-50), outlets };
    expect((await server.call('harbormaster', 'POST', '/holdings', { body: holding })).status).toBe(201);
    const { body } = await close({ outletId: 'b2a', from: hours(0), reason: 'breaker hot' });
    expect(await usesOfOutlet(server, 'b2a')).toEqual(['Orme -50-0', 'breaker hot 0-']);
    const end = (headers: Record<string, string>) =>
      server.call('dockhand', 'POST', `/out-of-service/${body.outOfService.id}/end`, {
        body: { at: hours(8) },
        headers,
      });
    expect((await end({})).status).toBe(428);
    expect((await end({ 'if-match': '"7"' })).status).toBe(412);
    const ended = await end({ 'if-match': '"1"' });
    expect(ended.body).toMatchObject({ until: hours(8), version: 2 });
    expect(await usesOfOutlet(server, 'b2a')).toEqual(['Orme -50-0', 'breaker hot 0-8', 'Orme 8-']);
  });
});

describe('what is out of service twice', () => {
  it('is recorded, and the answer names the other closing', async () => {
    const first = await close({ outletId: 'a3b', from: hours(0), until: hours(20), reason: 'scorched' });
    expect(first.body.findings).toEqual([]);
    const other = {
      rule: 'outlet.closedTwice',
      level: 'note',
      subject: { id: first.body.outOfService.id, label: 'scorched' },
    };
    const second = await close({ outletId: 'a3b', from: hours(10), reason: 'loose' });
    expect(second).toMatchObject({ status: 201, body: { findings: [other] } });
    const later = await close({ outletId: 'a3b', from: hours(-9), until: hours(0), reason: 'before' });
    expect(later.body.findings).toEqual([]);
  });
});

describe('space out of service', () => {
  it('closes around a boat that lies there now and displaces those to come', async () => {
    await placeTransient(server, { id: 'Plover', berthId: 'A3', from: -4, until: 10, state: 'arrived' });
    await placeTransient(server, { id: 'Dunlin', berthId: 'A3', from: 20, until: 30 });
    const closed = await close({ unitId: 'A3', from: hours(-1), until: hours(48), reason: 'loose cleat' });
    expect(closed.body).toMatchObject({
      findings: [{ rule: 'space.outOfService', level: 'caution', subject: { kind: 'stay', id: 'stay-Plover' } }],
      displaced: [{ stayId: 'stay-Dunlin', lost: 'space', from: hours(20) }],
    });
    expect(await usesOfUnit(server, 'A3')).toEqual(['Plover -4-11', 'loose cleat 11-48']);
  });

  it('still to come displaces the boat that would lie there then', async () => {
    await placeTransient(server, { id: 'Curlew', berthId: 'A4', from: -4, until: 30, state: 'arrived' });
    const closed = await close({ unitId: 'A4', from: hours(20), until: hours(25), reason: 'dredging' });
    expect(closed.body).toMatchObject({ findings: [], displaced: [{ stayId: 'stay-Curlew', from: hours(20) }] });
    expect(await usesOfUnit(server, 'A4')).toEqual(['Curlew -4-20', 'dredging 20-25']);
  });

  it('on one slip of two displaces the multihull across both and frees the other', async () => {
    const holding = { berthId: 'A5', holderName: 'Pryce', from: hours(-20) };
    const held = await server.call('harbormaster', 'POST', '/holdings', { body: holding });
    const path = `/holdings/${held.body.id}/absences`;
    await server.call('harbormaster', 'POST', path, { body: { from: hours(0), until: hours(100) } });
    await placeTransient(server, { id: 'Albatross', berthId: 'A5-A6', unitIds: ['A5', 'A6'], from: 10, until: 20 });
    // Not recalled, but the absence ends early: the holder has A5 again from the cut on.
    const closed = await close({ unitId: 'A6', from: hours(12), reason: 'piling cracked' });
    expect(closed.body.displaced).toMatchObject([{ stayId: 'stay-Albatross', from: hours(12) }]);
    expect(await usesOfUnit(server, 'A5')).toEqual(['Pryce -20-0', 'Albatross 10-12', 'Pryce 100-']);
    expect(await usesOfUnit(server, 'A6')).toEqual(['Albatross 10-12', 'piling cracked 12-']);
  });

  it('of some metres of a face leaves the others', async () => {
    await placeTransient(server, {
      id: 'Avocet',
      berthId: 'BF-1',
      unitIds: ['BF'],
      metres: [0, 9.5],
      from: 0,
      until: 9,
    });
    const closed = await close({ unitId: 'BF', fromM: 9.5, untilM: 14, from: hours(0), reason: 'ladder missing' });
    expect(closed.body).toMatchObject({ displaced: [], findings: [] });
    expect(await usesOfUnit(server, 'BF')).toEqual(['Avocet 0-10 0..9.5 m', 'ladder missing 0- 9.5..14 m']);
  });

  it('lasting longer displaces those in the time added; it needs the present version', async () => {
    await placeTransient(server, { id: 'Ruff', berthId: 'B1', from: 20, until: 30 });
    const { body } = await close({ unitId: 'B1', from: hours(5), until: hours(10), reason: 'planks' });
    expect(body.displaced).toEqual([]);
    const change = (headers: Record<string, string>) =>
      server.call('dockhand', 'PATCH', `/out-of-service/${body.outOfService.id}`, { body: { until: null }, headers });
    expect((await change({})).status).toBe(428);
    const longer = await change({ 'if-match': '"1"' });
    expect(longer.body).toMatchObject({
      outOfService: { until: null, version: 2 },
      displaced: [{ stayId: 'stay-Ruff', from: hours(20) }],
    });
    expect((await change({ 'if-match': '"1"' })).status).toBe(412);
    expect(await usesOfUnit(server, 'B1')).toEqual(['planks 5-']);
    expect((await server.call('dockhand', 'DELETE', `/out-of-service/${body.outOfService.id}`)).status).toBe(204);
    expect(await usesOfUnit(server, 'B1')).toEqual([]);
  });

  it('is listed by moment, unit and outlet', async () => {
    await close({ unitId: 'BR', from: hours(5), until: hours(10), reason: 'fenders' });
    const list = (query: string) => server.call('viewer', 'GET', `/out-of-service?unitId=BR&${query}`);
    expect((await list(`at=${hours(5)}`)).body.items).toMatchObject([{ reason: 'fenders' }]);
    expect((await list(`at=${hours(10)}`)).body.items).toEqual([]);
  });

  it('names one outlet or one unit that exists', async () => {
    const sense = { from: hours(0), reason: 'test' };
    const faults: [object, string][] = [
      [sense, '/outletId'],
      [{ ...sense, unitId: 'A1', outletId: 'a1a' }, '/outletId'],
      [{ ...sense, unitId: 'nowhere' }, '/unitId'],
      [{ ...sense, outletId: 'nothing' }, '/outletId'],
      [{ ...sense, unitId: 'BF', fromM: 55, untilM: 61 }, '/untilM'],
      [{ ...sense, unitId: 'A1', until: hours(0) }, '/until'],
    ];
    for (const [body, pointer] of faults) {
      const reply = await close(body);
      expect(reply.status).toBe(400);
      expect(reply.body.errors).toMatchObject([{ in: 'body', pointer }]);
    }
  });
});
