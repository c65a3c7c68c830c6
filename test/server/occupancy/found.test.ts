import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import type { TestServer } from '../../support/server.ts';
import { hours, placeTransient, startMarina, usesOfOutlet, usesOfUnit } from './fixture.ts';

let server: TestServer;
beforeAll(async () => {
  server = await startMarina();
});
afterAll(() => server.close());

const found = (body: object) => server.call('dockhand', 'POST', '/occupancy-found', { body });
const rulesOf = (reply: { body: { assignment: { findings: { rule: string; level: string }[] } } }) =>
  reply.body.assignment.findings.map(({ rule, level }) => `${rule} ${level}`);

describe('a boat found', () => {
  it('on an occupied berth displaces those in the way, in one change', async () => {
    await placeTransient(server, {
      id: 'Osprey',
      berthId: 'A1',
      from: -5,
      until: 15,
      outletIds: ['a1a'],
      state: 'arrived',
    });
    await placeTransient(server, { id: 'Petrel', berthId: 'A1', from: 18, until: 40, outletIds: ['a1a'] });
    await placeTransient(server, { id: 'Merlin', berthId: 'A2', from: 0, until: 40, outletIds: ['a1b'] });
    const reply = await found({
      berthId: 'A1',
      boat: { name: 'Stranger', lengthOverallM: 9.1 },
      at: hours(2),
      until: hours(20),
      outletIds: ['a1a', 'a1b'],
    });
    expect(reply.status).toBe(200);
    expect(reply.body).toMatchObject({
      assignment: { found: true, verdict: 'unconfirmed', from: hours(2), until: hours(20), outletIds: ['a1a', 'a1b'] },
      displaced: [
        { stayId: 'stay-Osprey', lost: 'space', from: hours(2) },
        { stayId: 'stay-Merlin', lost: 'outlet', from: hours(2) },
        { stayId: 'stay-Petrel', lost: 'space', from: hours(18) },
      ],
    });
    expect(rulesOf(reply)).toEqual([
      'space.found note',
      'space.found note',
      'space.found note',
      'space.found note',
      'fit.notJudged caution',
      'hookup.notJudged confirm',
      'demand.unknownPrimary confirm',
    ]);
    expect(await usesOfUnit(server, 'A1')).toEqual(['Osprey -5-2', 'Stranger 2-21']);
    expect(await usesOfUnit(server, 'A2')).toEqual(['Merlin 0-41']);
    expect(await usesOfOutlet(server, 'a1a')).toEqual(['Osprey -5-2', 'Stranger 2-20']);
    const stay = await server.db.prisma.stay.findFirstOrThrow({ where: { id: reply.body.stayId } });
    expect(stay).toMatchObject({ state: 'arrived', needsBerth: null });
    const boat = await server.db.prisma.boat.findFirstOrThrow({ where: { id: reply.body.boatId } });
    expect(boat.facts).toMatchObject({ lengthOverallM: { value: 9.1, origin: 'dockhand' }, beamM: null });
    const changes = await server.db.prisma.change.findMany({ where: { kind: 'occupancy.found' } });
    expect(changes).toHaveLength(1);
  });

  it('on a held berth cuts the holding while it lies there', async () => {
    const holding = { berthId: 'B1', holderName: 'Quill', from: hours(-50) };
    await server.call('harbormaster', 'POST', '/holdings', { body: holding });
    const reply = await found({
      berthId: 'B1',
      boat: { name: 'Cuckoo' },
      at: hours(0),
      until: hours(9),
      outletIds: [],
    });
    expect(rulesOf(reply)).toEqual(['space.found note', 'space.found note', 'fit.notJudged caution']);
    expect(reply.body.assignment).toMatchObject({
      verdict: 'cautioned',
      findings: [{}, { subject: { label: 'Quill' } }, {}],
    });
    expect(await usesOfUnit(server, 'B1')).toEqual(['Quill -50-0', 'Cuckoo 0-10', 'Quill 10-']);

    // It moves on early: the holder has the berth again from that moment.
    const moved = await found({ berthId: 'B2', boat: { boatId: reply.body.boatId }, at: hours(4) });
    expect(moved.body).toMatchObject({ stayId: reply.body.stayId, displaced: [], assignment: { until: hours(9) } });
    expect(await usesOfUnit(server, 'B1')).toEqual(['Quill -50-0', 'Cuckoo 0-5', 'Quill 5-']);
    expect(await usesOfUnit(server, 'B2')).toEqual(['Cuckoo 4-10']);
  });

  it('on a closed berth is entered with a caution, and the closing goes on when it leaves', async () => {
    await server.call('dockhand', 'POST', '/out-of-service', {
      body: { unitId: 'B3', from: hours(-9), reason: 'planks' },
    });
    const reply = await found({ berthId: 'B3', boat: { name: 'Shrike' }, at: hours(0), until: hours(5) });
    expect(rulesOf(reply)).toContain('space.found caution');
    expect(await usesOfUnit(server, 'B3')).toEqual(['planks -9-0', 'Shrike 0-6', 'planks 6-']);
  });

  it('on its own assigned berth keeps the judged assignment', async () => {
    await placeTransient(server, { id: 'Siskin', berthId: 'A3', from: 0, until: 24, outletIds: ['a2a'] });
    const reply = await found({ berthId: 'A3', stayId: 'stay-Siskin', at: hours(1) });
    expect(reply.body).toMatchObject({
      stayId: 'stay-Siskin',
      assignment: { id: 'assignment-Siskin', found: false, verdict: 'clear', outletIds: ['a2a'] },
    });
    const stay = await server.db.prisma.stay.findFirstOrThrow({ where: { id: 'stay-Siskin' } });
    expect(stay.state).toBe('arrived');
  });

  it('elsewhere than assigned gives up its own place, and may need one for the rest', async () => {
    await placeTransient(server, { id: 'Linnet', berthId: 'A4', from: 0, until: 24, outletIds: ['a2b'] });
    const reply = await found({ berthId: 'A5', boat: { boatId: 'boat-Linnet' }, at: hours(2), until: hours(10) });
    expect(reply.body.stayId).toBe('stay-Linnet');
    // It lay there: the place is kept for the turnover time.
    expect(await usesOfUnit(server, 'A4')).toEqual(['Linnet 0-3']);
    expect(await usesOfOutlet(server, 'a2b')).toEqual(['Linnet 0-2']);
    expect(await usesOfUnit(server, 'A5')).toEqual(['Linnet 2-11']);
    const stay = await server.db.prisma.stay.findFirstOrThrow({ where: { id: 'stay-Linnet' } });
    expect(stay.needsBerth).toMatchObject([{ rule: 'space.rest' }]);
  });

  it('is taken to be plugged in while nobody has looked', async () => {
    const strange = await found({ berthId: 'A6', boat: { name: 'Dotterel' }, at: hours(12), until: hours(20) });
    const { outletIds, verdict } = strange.body.assignment;
    expect(verdict).toBe('unconfirmed');
    expect(outletIds).toHaveLength(1);
    const inventory = await server.call('viewer', 'GET', '/inventory');
    const { reaches } = inventory.body.berths.find(({ id }: { id: string }) => id === 'A6');
    expect(reaches.map(({ outletId }: { outletId: string }) => outletId)).toContain(outletIds[0]);
    expect(await usesOfOutlet(server, outletIds[0])).toContain('Dotterel 12-20');

    // Early on its own berth: the outlets of its assignment stay its own.
    await placeTransient(server, { id: 'Whimbrel', berthId: 'A5', from: 22, until: 30, outletIds: ['a3a'] });
    const early = await found({ berthId: 'A5', stayId: 'stay-Whimbrel', at: hours(20) });
    expect(early.body.assignment).toMatchObject({ found: true, from: hours(20), outletIds: ['a3a'] });
    expect(early.body.displaced).toEqual([]);

    // Looked at, and plugged into nothing: nothing is kept.
    const looked = await found({
      berthId: 'A4',
      boat: { name: 'Knot' },
      at: hours(12),
      until: hours(14),
      outletIds: [],
    });
    expect(looked.body).toMatchObject({ assignment: { outletIds: [] } });
  });

  it('takes its turnover time only as far as nobody is placed', async () => {
    await placeTransient(server, { id: 'Robin', berthId: 'B4', from: 10, until: 20 });
    const reply = await found({ berthId: 'B4', boat: { name: 'Swift' }, at: hours(1), until: hours(9.5) });
    expect(reply.body.displaced).toEqual([]);
    expect(await usesOfUnit(server, 'B4')).toEqual(['Swift 1-10', 'Robin 10-21']);
  });

  it('on a face may lie across berths, never off the face; the next departure hour is its end', async () => {
    const place = { berthId: 'BF-1', boat: { name: 'Godwit' }, at: hours(0) };
    const reply = await found({ ...place, fromM: 15, untilM: 26 });
    // 08:00 in New York; the sample marina's usual departure is 11:00 there.
    expect(reply.body.assignment).toMatchObject({ fromM: 15, untilM: 26, until: hours(3) });
    // Too few metres for the boat: recorded all the same, and said.
    const long = { boat: { name: 'Long Godwit', lengthOverallM: 14 }, at: hours(0), berthId: 'BF-1' };
    const short = await found({ ...long, fromM: 30, untilM: 40 });
    expect(short.body.assignment).toMatchObject({ fromM: 30, untilM: 40, verdict: 'unconfirmed' });
    const finding = short.body.assignment.findings.find(({ rule }: { rule: string }) => rule === 'space.foundTooShort');
    expect(finding).toMatchObject({ level: 'confirm', actual: 14, limit: 10, missingFact: { fact: 'place' } });
    const whole = await found({
      berthId: 'BF-1',
      boat: { boatId: short.body.boatId },
      at: hours(1),
      fromM: 30,
      untilM: 44,
    });
    expect(rulesOf(whole)).not.toContain('space.foundTooShort confirm');
    const off = await found({ ...place, fromM: 55, untilM: 66 });
    expect(off.body).toMatchObject({ status: 400, errors: [{ in: 'body', pointer: '/untilM' }] });
  });

  it('is refused only where the request is nonsense', async () => {
    const sense = { berthId: 'A6', boat: { name: 'Nonsense' }, at: hours(0) };
    const faults: [object, string][] = [
      [{ ...sense, berthId: 'nowhere' }, '/berthId'],
      [{ ...sense, until: hours(0) }, '/until'],
      [{ ...sense, at: hours(25) }, '/at'],
      [{ ...sense, at: hours(-31 * 24 - 1) }, '/at'],
      [{ ...sense, at: '1970-01-01T00:00:00Z' }, '/at'],
      [{ ...sense, outletIds: ['nothing'] }, '/outletIds/0'],
      [{ ...sense, stayId: 'stay-Siskin' }, '/boat'],
      [{ berthId: 'A6', stayId: 'stay-Siskin', boat: { boatId: 'boat-Robin' }, at: hours(0) }, '/boat/boatId'],
      [{ berthId: 'A6', stayId: 'no-stay', at: hours(0) }, '/stayId'],
      [{ berthId: 'A6', at: hours(0) }, '/boat'],
    ];
    for (const [body, pointer] of faults) {
      const reply = await found(body);
      expect(reply.status).toBe(400);
      expect(reply.body.errors).toMatchObject([{ in: 'body', pointer }]);
    }
    expect(await server.db.prisma.boat.count({ where: { name: 'Nonsense' } })).toBe(0);
    const viewer = await server.call('viewer', 'POST', '/occupancy-found', { body: sense });
    expect(viewer.status).toBe(403);
  });

  it('is entered once for one Idempotency-Key', async () => {
    const body = { berthId: 'A6', boat: { name: 'Twice' }, at: hours(0) };
    const headers = { 'idempotency-key': 'found-1' };
    const first = await server.call('dockhand', 'POST', '/occupancy-found', { body, headers });
    const second = await server.call('dockhand', 'POST', '/occupancy-found', { body, headers });
    expect(second.body).toEqual(first.body);
    expect(await server.db.prisma.boat.count({ where: { name: 'Twice' } })).toBe(1);
  });
});
