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

const hold = (holding: object) => server.call('harbormaster', 'POST', '/holdings', { body: holding });

describe('a holding', () => {
  it('keeps its berth and the outlets of its boat, with the load that was measured', async () => {
    const outlets = [{ outletId: 'a1a', loadVa: 1800, loadOrigin: 'measured' }];
    const created = await hold({ berthId: 'A1', holderName: 'Calloway', from: hours(0), outlets });
    expect(created.status).toBe(201);
    expect(created.body).toMatchObject({ berthId: 'A1', until: null, fromM: null, absences: [], version: 1, outlets });
    expect(await usesOfUnit(server, 'A1')).toEqual(['Calloway 0-']);
    const occupancy = await server.call('viewer', 'GET', `/occupancy?at=${hours(5)}`);
    expect(occupancy.body.outlets).toMatchObject([{ outletId: 'a1a', outletLabel: 'A1-A', statedVa: 1800 }]);
    const read = await server.call('viewer', 'GET', `${created.headers.location}`);
    expect(read.body).toEqual(created.body);
    expect(read.headers.etag).toBe('"1"');
  });

  it('is refused over a transient and over another holder, naming each', async () => {
    await placeTransient(server, { id: 'Wren', berthId: 'A2', from: 48, until: 72, outletIds: ['a1c'] });
    const taken = await hold({ berthId: 'A2', holderName: 'Drummond', from: hours(0) });
    expect(taken.status).toBe(409);
    expect(taken.body).toMatchObject({
      type: '/problems/double-use',
      findings: [{ rule: 'space.taken', level: 'refuse', subject: { kind: 'stay', id: 'stay-Wren', label: 'Wren' } }],
    });
    const outlet = await hold({
      berthId: 'A3',
      holderName: 'Drummond',
      from: hours(0),
      outlets: [{ outletId: 'a1c' }],
    });
    expect(outlet.body).toMatchObject({ findings: [{ rule: 'outlet.taken', subject: { id: 'stay-Wren' } }] });
    expect((await hold({ berthId: 'A2', holderName: 'Drummond', from: hours(0), until: hours(48) })).status).toBe(201);
    const held = await hold({ berthId: 'A2', holderName: 'Eversley', from: hours(10), until: hours(20) });
    expect(held.body).toMatchObject({ findings: [{ rule: 'space.held', subject: { label: 'Drummond' } }] });
  });

  it('holds metres of a face beside others and refuses metres that overlap', async () => {
    const face = { berthId: 'BF-1', from: hours(0) };
    expect((await hold({ ...face, holderName: 'Fane', fromM: 0, untilM: 9 })).status).toBe(201);
    expect((await hold({ ...face, holderName: 'Gower', fromM: 9, untilM: 18 })).status).toBe(201);
    expect((await hold({ ...face, holderName: 'Hale', fromM: 17, untilM: 20 })).status).toBe(409);
    expect((await hold({ ...face, holderName: 'Hale', fromM: 50, untilM: 61 })).body).toMatchObject({
      errors: [{ in: 'body', pointer: '/untilM' }],
    });
    expect(await usesOfUnit(server, 'BF')).toEqual(['Fane 0- 0..9 m', 'Gower 0- 9..18 m']);
  });

  it('changes with its present version alone, and its rows follow', async () => {
    const { body } = await hold({ berthId: 'A4', holderName: 'Ingram', from: hours(0), until: hours(100) });
    const change = (etag: string, patch: object) =>
      server.call('harbormaster', 'PATCH', `/holdings/${body.id}`, { body: patch, headers: { 'if-match': etag } });
    const changed = await change('"1"', { from: hours(10), outlets: [{ outletId: 'a2a' }] });
    expect(changed.status).toBe(200);
    expect(changed.body).toMatchObject({ version: 2, from: hours(10) });
    expect(await usesOfUnit(server, 'A4')).toEqual(['Ingram 10-100']);
    expect(await usesOfOutlet(server, 'a2a')).toEqual(['Ingram 10-100']);
    expect((await change('"1"', { holderName: 'Jessop' })).status).toBe(412);
    const end = (headers: Record<string, string>) =>
      server.call('harbormaster', 'POST', `/holdings/${body.id}/end`, { body: { at: hours(50) }, headers });
    expect((await end({})).status).toBe(428);
    expect((await end({ 'if-match': '"1"' })).status).toBe(412);
    const ended = await end({ 'if-match': '"2"' });
    expect(ended.body).toMatchObject({ until: hours(50), version: 3 });
    expect(await usesOfUnit(server, 'A4')).toEqual(['Ingram 10-50']);
  });

  it('is taken back before it begins and ended afterwards', async () => {
    const later = await hold({ berthId: 'B1', holderName: 'Kerr', from: hours(5), outlets: [{ outletId: 'b1a' }] });
    expect((await server.call('manager', 'DELETE', `/holdings/${later.body.id}`)).status).toBe(204);
    expect(await usesOfUnit(server, 'B1')).toEqual([]);
    const begun = await hold({ berthId: 'B1', holderName: 'Kerr', from: hours(-5) });
    expect((await server.call('manager', 'DELETE', `/holdings/${begun.body.id}`)).status).toBe(409);
  });

  it('refuses what makes no sense, naming the field', async () => {
    const sense = { berthId: 'B2', holderName: 'Lund', from: hours(0), until: hours(9) };
    const faults: [object, string][] = [
      [{ ...sense, berthId: 'nowhere' }, '/berthId'],
      [{ ...sense, until: hours(0) }, '/until'],
      [{ ...sense, boatId: 'no-boat' }, '/boatId'],
      [{ ...sense, fromM: 1 }, '/fromM'],
      [{ ...sense, outlets: [{ outletId: 'b1b' }, { outletId: 'b1b' }] }, '/outlets/1/outletId'],
      [{ ...sense, outlets: [{ outletId: 'b1b', loadOrigin: 'stated' }] }, '/outlets/0/loadVa'],
      [{ ...sense, from: '0000-01-01T00:00:00Z' }, '/from'],
    ];
    for (const [body, pointer] of faults) {
      const reply = await hold(body);
      expect(reply.status).toBe(400);
      expect(reply.body.errors).toMatchObject([{ in: 'body', pointer }]);
    }
    expect(await usesOfUnit(server, 'B2')).toEqual([]);
  });
});

describe('an absence', () => {
  it('lets the berth go, must lie inside the holding, and is released once', async () => {
    const { body } = await hold({ berthId: 'A5', holderName: 'Mercer', from: hours(0), until: hours(200) });
    const path = `/holdings/${body.id}/absences`;
    const release = (from: number, until: number) =>
      server.call('dockhand', 'POST', path, { body: { from: hours(from), until: hours(until) } });
    const released = await release(20, 60);
    expect(released.status).toBe(201);
    expect(await usesOfUnit(server, 'A5')).toEqual(['Mercer 0-20', 'Mercer 60-200']);
    expect((await release(50, 70)).body).toMatchObject({ type: '/problems/wrong-state' });
    expect((await release(190, 201)).body).toMatchObject({ errors: [{ pointer: '/from' }] });

    await placeTransient(server, { id: 'Heron', berthId: 'A5', from: 24, until: 48 });
    expect((await server.call('dockhand', 'DELETE', `${path}/${released.body.id}`)).body).toMatchObject({
      type: '/problems/in-use',
    });
    const unused = await release(100, 120);
    expect((await server.call('dockhand', 'DELETE', `${path}/${unused.body.id}`)).status).toBe(204);
    expect(await usesOfUnit(server, 'A5')).toEqual(['Mercer 0-20', 'Heron 24-49', 'Mercer 60-200']);
    expect((await server.call('viewer', 'GET', path)).body.items).toHaveLength(1);
  });

  it('recalled early lists the displaced stay and marks that it needs a berth', async () => {
    const outlets = [{ outletId: 'a4b' }];
    const { body } = await hold({ berthId: 'A6', holderName: 'Norris', from: hours(-100), outlets });
    const path = `/holdings/${body.id}/absences`;
    const absence = await server.call('harbormaster', 'POST', path, { body: { from: hours(0), until: hours(200) } });
    await placeTransient(server, {
      id: 'Egret',
      berthId: 'A6',
      from: 2,
      until: 30,
      outletIds: ['a4b'],
      state: 'arrived',
    });
    await placeTransient(server, { id: 'Gannet', berthId: 'A6', from: 40, until: 60 });

    server.clock.now = testNow + 3_600_000;
    const recall = await server.call('dockhand', 'POST', `${path}/${absence.body.id}/recall`, {
      body: { returnsAt: hours(11) },
    });
    expect(recall.status).toBe(200);
    expect(recall.body).toMatchObject({
      absence: { returnsAt: hours(11), recalledAt: hours(1) },
      // The sample marina agrees 24 h of notice; this holder gave 10.
      findings: [{ rule: 'space.recallNotice', level: 'caution', actual: 10, limit: 24, unit: 'h' }],
      displaced: [
        { stayId: 'stay-Egret', lost: 'space', from: hours(11), was: { from: hours(2), until: hours(30) } },
        { stayId: 'stay-Gannet', lost: 'space', from: hours(40), contactPhone: '+1 555 0100' },
      ],
    });
    expect(recall.body.displaced[0].findings[0].message).toMatch(/Egret.*A6.*Norris/);
    expect(await usesOfUnit(server, 'A6')).toEqual(['Norris -100-0', 'Egret 2-11', 'Norris 11-']);
    expect(await usesOfOutlet(server, 'a4b')).toEqual(['Norris -100-0', 'Egret 2-11', 'Norris 11-']);

    const stays = await server.db.prisma.stay.findMany({ where: { needsBerth: { not: { equals: null } } } });
    const egret = stays.find(({ id }) => id === 'stay-Egret');
    expect(egret).toMatchObject({ state: 'arrived', needsBerth: [{ rule: 'space.displaced', level: 'refuse' }] });
    expect(await server.db.prisma.assignment.count({ where: { stayId: 'stay-Gannet' } })).toBe(0);
    // The change row keeps what was lost.
    const [change] = await server.db.prisma.change.findMany({ where: { kind: 'absence.recalled' } });
    expect(change?.before).toMatchObject({ assignments: [{ id: 'assignment-Egret' }, { id: 'assignment-Gannet' }] });

    const again = await server.call('dockhand', 'POST', `${path}/${absence.body.id}/recall`, {
      body: { returnsAt: hours(12) },
    });
    expect(again.body).toMatchObject({ errors: [{ pointer: '/returnsAt' }] });
  });
});
