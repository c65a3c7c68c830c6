import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import type { TestServer } from '../../support/server.ts';
import { startMarina } from '../occupancy/fixture.ts';

let server: TestServer;
beforeAll(async () => {
  server = await startMarina();
});
afterAll(() => server.close());

const meter = (of: object = {}) => ({
  label: 'meter',
  subjectKind: 'outlet',
  subjectId: 'a1a',
  quantity: 'energyKwh',
  intervalMinutes: 15,
  powerFactor: 1,
  ...of,
});

async function enter(id: string, of: object = {}) {
  const reply = await server.call('manager', 'PUT', `/meters/${id}`, { body: meter(of) });
  expect([reply.status, reply.body.detail]).toEqual([201, undefined]);
}

async function send(text: string, type = 'text/csv') {
  const answer = await server.app.inject({
    method: 'POST',
    url: `${server.marina}/meter-readings`,
    headers: { authorization: `Bearer ${server.tokens.manager}`, 'content-type': type },
    payload: text,
  });
  return { status: answer.statusCode, body: answer.json() };
}

const csv = (...rows: string[]) => ['meterId,from,value', ...rows].join('\n');

describe('readings', () => {
  it('are stored once, however often a file is sent, and another value is told and not taken', async () => {
    await enter('m1');
    const file = csv('m1,2030-01-01T00:00:00Z,1.5', 'm1,2030-01-01T00:15:00Z,2', 'm1,2029-12-31T18:30:00-06:00,2.5');
    expect((await send(file)).body).toEqual({ lines: 3, stored: 3, repeated: 0, refused: 0, errors: [] });
    expect((await send(file)).body).toEqual({ lines: 3, stored: 0, repeated: 3, refused: 0, errors: [] });
    const { body } = await send(csv('m1,2030-01-01T00:00:00Z,1.5', 'm1,2030-01-01T00:15:00Z,7'));
    expect(body).toMatchObject({ stored: 0, repeated: 1, refused: 1 });
    expect(body.errors[0]).toMatchObject({ line: 3, message: expect.stringContaining('as 2, and here as 7') });
    const list = await server.call(
      'viewer',
      'GET',
      '/meter-readings?meterId=m1&from=2030-01-01T00:00:00Z&until=2030-01-02T00:00:00Z',
    );
    expect(list.body.items.map((item: { value: number }) => item.value)).toEqual([1.5, 2, 2.5]);
  });

  it('of a faulty line are told by its number, and the sound ones stay', async () => {
    const { body } = await send(
      csv(
        'm1,2030-02-01T00:00:00Z,1',
        'm1,2030-02-01T00:10:00Z,1',
        'm1,2030-02-01T00:15:00Z,-3',
        'nobody,2030-02-01T00:15:00Z,1',
        'm1,yesterday,1',
        'm1,2030-02-01T00:30:00Z,1,5',
        'm1,2030-03-10T02:30:00,1',
        'm1,2029-11-04T01:30:00,1',
        'm1,2031-02-01T00:00:00Z,1',
        '',
        'm1,2030-02-01T06:00:00,4',
      ),
    );
    expect(body).toMatchObject({ lines: 10, stored: 2, refused: 8 });
    const said = Object.fromEntries(
      body.errors.map((error: { line: number; message: string }) => [error.line, error.message]),
    );
    expect(said[3]).toMatch(/overlaps the interval that begins at 2030-02-01T00:00/);
    expect(said[4]).toMatch(/-3.*no less than 0/);
    expect(said[5]).toMatch(/no meter "nobody"/);
    expect(said[6]).toMatch(/no instant/);
    expect(said[7]).toMatch(/4 values and the first line names 3/);
    expect(said[8]).toMatch(/happens never/);
    expect(said[9]).toMatch(/happens twice/);
    expect(said[10]).toMatch(/still to come/);
    // A local time without doubt is by the marina's clocks.
    const list = await server.call(
      'viewer',
      'GET',
      '/meter-readings?meterId=m1&from=2030-02-01T10:00:00Z&until=2030-02-01T13:00:00Z',
    );
    expect(list.body.items).toHaveLength(1);
  });

  it('of the wrong length overlap, and two lengths of one interval are told apart', async () => {
    const { body } = await send(
      [
        'meterId,from,until,value',
        'm1,2030-03-01T00:00:00Z,2030-03-01T00:30:00Z,1',
        'm1,2030-03-01T00:30:00Z,2030-03-01T00:40:00Z,1',
        'm1,2030-03-01T00:45:00Z,2030-03-01T01:00:00Z,1',
      ].join('\r\n'),
    );
    expect(body).toMatchObject({ stored: 1, refused: 2 });
    expect(body.errors.map(({ message }: { message: string }) => message).join(' ')).toMatch(
      /overlap the next.*leave a gap/,
    );
  });

  it('come as NDJSON too, and the two contradictory lines of one file are found', async () => {
    const line = (from: string, value: number) => JSON.stringify({ meterId: 'm1', from, value });
    const { body } = await send(
      [line('2030-04-01T00:00:00Z', 3), line('2030-04-01T00:00:00Z', 4), '{"meterId":"m1"}', 'nonsense'].join('\n'),
      'application/x-ndjson',
    );
    expect(body).toMatchObject({ stored: 1, refused: 3 });
    expect(body.errors.map((error: { line: number }) => error.line)).toEqual([2, 3, 4]);
  });

  it('need a heading, one of the declared kinds, and a role that may', async () => {
    expect((await send('1,2,3')).status).toBe(400);
    expect((await send('x', 'text/plain')).status).toBe(415);
    expect((await server.call('manager', 'POST', '/meter-readings', { body: {} })).status).toBe(415);
    expect(
      (await server.call('manager', 'POST', '/stays', { headers: { 'content-type': 'text/csv' } })).status,
    ).toBeGreaterThanOrEqual(400);
    const viewer = await server.call('viewer', 'POST', '/meter-readings', { headers: { 'content-type': 'text/csv' } });
    expect(viewer.status).toBe(403);
  });
});

describe('meters', () => {
  it('are one to a subject, and mean the same for as long as they have readings', async () => {
    const second = await server.call('manager', 'PUT', '/meters/m2', { body: meter() });
    expect([second.status, second.body.type]).toEqual([409, '/problems/already-exists']);
    const changed = await server.call('manager', 'PUT', '/meters/m1', { body: meter({ intervalMinutes: 30 }) });
    expect([changed.status, changed.body.type]).toEqual([409, '/problems/in-use']);
    const nowhere = await server.call('manager', 'PUT', '/meters/m3', { body: meter({ subjectId: 'nowhere' }) });
    expect(nowhere.status).toBe(400);
  });

  it('show their gaps, and the restart of a register', async () => {
    await enter('r1', { subjectId: 'a1b', quantity: 'registerKwh', intervalMinutes: 60 });
    await send(
      csv(
        'r1,2030-05-01T00:00:00Z,100',
        'r1,2030-05-01T01:00:00Z,104',
        'r1,2030-05-01T02:00:00Z,1',
        'r1,2030-05-01T05:00:00Z,9',
      ),
    );
    const { body } = await server.call(
      'viewer',
      'GET',
      '/meters/r1/gaps?from=2030-05-01T00:00:00Z&until=2030-05-01T06:00:00Z',
    );
    expect(body.restarts).toEqual([{ at: '2030-05-01T02:00:00.000Z', before: 104, after: 1 }]);
    expect(body.gaps).toContainEqual({ from: '2030-05-01T03:00:00.000Z', until: '2030-05-01T05:00:00.000Z' });
  });
});

describe('measured load', () => {
  it('of a register is the energy between readings, and nothing over a restart', async () => {
    const { body } = await server.call(
      'viewer',
      'GET',
      '/measured-load?from=2030-05-01T00:00:00Z&until=2030-05-01T06:00:00Z&intervalMinutes=60',
    );
    const { index } = await server.services.inventories.inventoryOf(server.db.prisma, 'north');
    const feeding = index.pathOfOutlet.get('a1b')?.[0];
    const part = body.parts.find((each: { equipmentId: string }) => each.equipmentId === feeding?.id);
    // 4 kWh in the first hour; the second ends in a restart; the third is two hours short.
    expect(part).toMatchObject({
      peakVa: 4000,
      peakAt: '2030-05-01T00:00:00.000Z',
      intervals: 1,
      method: 'none',
      assessment: 'notAssessed',
    });
    expect(body.leftOut.map((each: { meterId: string }) => each.meterId)).toContain('m1');
  });

  it('is the coincident sum of the meters below, the same as by hand', async () => {
    const { index } = await server.services.inventories.inventoryOf(server.db.prisma, 'north');
    const outlets = index.inventory.outlets.filter(({ id }) => id !== 'a1a' && id !== 'a1b').slice(0, 4);
    const lines: string[] = [];
    const sums = new Map<string, Map<string, number>>();
    for (const [o, outlet] of outlets.entries()) {
      await enter(`o-${outlet.id}`, { subjectId: outlet.id });
      for (let slot = 0; slot < 8; slot++) {
        const from = new Date(Date.UTC(2030, 0, 20, 0, 15 * slot)).toISOString();
        const kwh = ((o * 7 + slot * 5) % 11) / 8;
        lines.push(`o-${outlet.id},${from},${kwh}`);
        for (const { id } of index.pathOfOutlet.get(outlet.id) ?? []) {
          const of = sums.get(id) ?? new Map<string, number>();
          sums.set(id, of.set(from, (of.get(from) ?? 0) + kwh * 4000));
        }
      }
    }
    expect((await send(csv(...lines))).body).toMatchObject({ stored: lines.length, refused: 0 });
    const { body } = await server.call(
      'viewer',
      'GET',
      '/measured-load?from=2030-01-20T00:00:00Z&until=2030-01-20T02:00:00Z',
    );
    for (const part of body.parts) {
      const byHand = [...(sums.get(part.equipmentId)?.values() ?? [])];
      if (byHand.length === 0) expect(part.peakVa).toBeNull();
      else expect(part.peakVa).toBeCloseTo(Math.max(...byHand), 6);
      expect(part.why.length).toBeGreaterThan(0);
    }
    expect(body.cautions.length).toBeGreaterThan(0);
  });

  it('is not asked for over a lifetime', async () => {
    const { status, body } = await server.call(
      'viewer',
      'GET',
      '/measured-load?from=1971-01-01T00:00:00Z&until=2030-01-01T00:00:00Z',
    );
    expect([status, body.errors[0].pointer]).toEqual([400, '/until']);
  });

  it('keeps bills and notebooks apart, as what they are', async () => {
    const note = {
      kind: 'bill',
      subjectKind: null,
      subjectId: null,
      from: '2030-01-01T00:00:00Z',
      until: '2030-02-01T00:00:00Z',
      energyKwh: 900,
      peakDemandKw: 12,
      turnedAway: null,
      suppliedBy: 'utility',
      note: 'x',
    };
    expect((await server.call('manager', 'POST', '/load-notes', { body: note })).status).toBe(201);
    const { body } = await server.call(
      'viewer',
      'GET',
      '/measured-load?from=2030-01-20T00:00:00Z&until=2030-01-20T02:00:00Z',
    );
    expect(body.notes).toMatchObject([{ kind: 'bill', energyKwh: 900, suppliedBy: 'utility' }]);
  });
});

it('readings of a period can be deleted, which is a change on record', async () => {
  const reply = await server.call(
    'manager',
    'DELETE',
    '/meter-readings?meterId=m1&from=2030-04-01T00:00:00Z&until=2030-04-02T00:00:00Z',
  );
  expect(reply.body).toEqual({ deleted: 1 });
});

describe('tables as CSV', () => {
  const text = async (path: string) => {
    const answer = await server.app.inject({
      method: 'GET',
      url: `${server.marina}${path}`,
      headers: { authorization: `Bearer ${server.tokens.viewer}` },
    });
    expect([answer.statusCode, answer.headers['content-type']]).toEqual([200, expect.stringContaining('text/csv')]);
    return answer.body;
  };

  it('of readings come in the columns that the import takes: sent again they are all repeated', async () => {
    await enter('-7b', { subjectKind: 'pedestal', subjectId: 'ped-b2' });
    const rows = Array.from({ length: 5 }, (_, i) => `-7b,2030-04-01T0${i}:00:00Z,${i + 0.25}`);
    expect((await send(csv(...rows))).body).toMatchObject({ stored: 5, refused: 0 });
    const file = await text('/meter-readings/export?from=2030-04-01T00:00:00Z&until=2030-04-02T00:00:00Z&meterId=-7b');
    expect(file.split('\r\n')[1]).toBe("'-7b,2030-04-01T00:00:00.000Z,,0.25");
    expect((await send(file)).body).toMatchObject({ lines: 5, stored: 0, repeated: 5, refused: 0 });
  });

  it('of existing load hold every part, and bills and notebooks marked as what they are', async () => {
    const note = {
      kind: 'notebook',
      subjectKind: null,
      subjectId: null,
      from: '2030-04-01T00:00:00Z',
      until: '2030-04-30T00:00:00Z',
      energyKwh: null,
      peakDemandKw: null,
      turnedAway: 7,
      suppliedBy: 'office',
      note: '=SUM(1)',
    };
    expect((await server.call('manager', 'POST', '/load-notes', { body: note })).status).toBe(201);
    const query = 'from=2030-04-01T00:00:00Z&until=2030-05-01T00:00:00Z';
    const lines = (await text(`/measured-load/export?${query}`)).split('\r\n');
    const { body } = await server.call('viewer', 'GET', `/measured-load?${query}`);
    expect(lines.filter((line) => line.startsWith('meters,'))).toHaveLength(body.parts.length);
    expect(lines.find((line) => line.startsWith('notebook,'))).toMatch(/,'=SUM\(1\),.*,7,office$/);
    // The notebook is listed and no part has a reading from it.
    expect(body.notes.at(-1)).toMatchObject({ kind: 'notebook', turnedAway: 7 });
  });
});
