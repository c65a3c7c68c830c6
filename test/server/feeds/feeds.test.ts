import ICAL from 'ical.js';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { csvText, fromCell } from '../../../server/feeds/csv-text.ts';
import { type TestServer, testNow } from '../../support/server.ts';
import { hours, placeTransient, startMarina } from '../occupancy/fixture.ts';

let server: TestServer;
beforeAll(async () => {
  server = await startMarina();
});
afterAll(() => server.close());

const get = (path: string) => server.call('viewer', 'GET', path);

/** Sends CSV as a browser or a script does. */
async function importCsv(
  text: string | Buffer,
  query = '',
  role: 'harbormaster' | 'viewer' = 'harbormaster',
  headers: Record<string, string> = {},
) {
  const answer = await server.app.inject({
    method: 'POST',
    url: `${server.marina}/bookings/import${query}`,
    headers: { authorization: `Bearer ${server.tokens[role]}`, 'content-type': 'text/csv', ...headers },
    payload: text,
  });
  return { status: answer.statusCode, body: answer.json() };
}

const stays = () => server.db.prisma.stay.count({ where: { marinaId: 'north' } });

describe('a calendar', () => {
  it('of a dock or a boat is read by another library, and names no caller and no other boat', async () => {
    await placeTransient(server, { id: 'Avocet', berthId: 'A3', from: 10, until: 34 });
    await placeTransient(server, { id: 'Brant', berthId: 'A3', from: 40, until: 50 });
    const boat = await get('/boats/boat-Avocet/calendar');
    expect(boat).toMatchObject({ status: 200, headers: { 'content-type': 'text/calendar; charset=utf-8' } });
    const dock = await get('/docks/dock-a/calendar');
    const eventsOf = (text: string) =>
      new ICAL.Component(ICAL.parse(text)).getAllSubcomponents('vevent').map((each) => {
        const event = new ICAL.Event(each);
        return [event.summary, event.startDate.toJSDate().toISOString(), event.endDate.toJSDate().toISOString()];
      });
    expect(eventsOf(boat.body)).toEqual([['Berth A3', hours(10), hours(34)]]);
    expect(eventsOf(dock.body)).toEqual([
      ['Berth A3 taken', hours(10), hours(34)],
      ['Berth A3 taken', hours(40), hours(50)],
    ]);
    for (const text of [boat.body, dock.body]) {
      // The ids of this test's own assignments hold names; those that the service makes are random.
      expect(text.replaceAll(/^UID:.*$/gm, '')).not.toMatch(/Skipper|555|Brant/);
      // RFC 5545, 3.1: lines end with CRLF and have at most 75 octets. 3.6: PRODID and VERSION stand once.
      const lines = text.split('\r\n');
      expect(lines.every((line: string) => Buffer.byteLength(line) <= 75 && !line.includes('\n'))).toBe(true);
      expect(lines.filter((line: string) => /^(PRODID|VERSION):/.test(line))).toHaveLength(2);
    }
    expect((await get('/boats/nowhere/calendar')).status).toBe(404);
    expect((await server.call(null, 'GET', '/docks/dock-a/calendar')).status).toBe(401);
  });
});

describe('a link to a calendar', () => {
  const secretOf = async (path: string) =>
    (await server.call('harbormaster', 'POST', `${path}/link`)).body.path.replace('/v1/calendars/', '');
  const open = (secret: string) => server.call(null, 'GET', `/v1/calendars/${secret}`);

  it('is read without a token, says no more than the calendar, and is stored as a hash alone', async () => {
    await placeTransient(server, { id: 'Coot', berthId: 'A5', from: 60, until: 70 });
    for (const path of ['/docks/dock-a/calendar', '/boats/boat-Coot/calendar']) {
      const secret = await secretOf(path);
      // 256 bits in base64url.
      expect(secret).toMatch(/^qwcal_[\w-]{43}$/);
      const reply = await open(secret);
      expect(reply).toMatchObject({ status: 200, headers: { 'content-type': 'text/calendar; charset=utf-8' } });
      const stable = (text: string) => text.replaceAll(/^DTSTAMP:.*$/gm, '');
      expect(stable(reply.body)).toBe(stable((await get(path)).body));
      expect(new ICAL.Component(ICAL.parse(reply.body)).getAllSubcomponents('vevent').length).toBeGreaterThan(0);
      const { rows } = await server.db.pool.query('SELECT to_jsonb(l)::text AS row FROM calendar_link l');
      const changes = await server.db.pool.query('SELECT to_jsonb(c)::text AS row FROM change c');
      expect(JSON.stringify([rows, changes.rows])).not.toContain(secret.slice(6));
    }
  });

  it('ends when it is taken back or made anew, and is made by a harbormaster alone', async () => {
    const path = '/docks/dock-a/calendar';
    const first = await secretOf(path);
    const second = await secretOf(path);
    expect((await open(first)).status).toBe(404);
    expect((await open(second)).status).toBe(200);
    expect((await server.call('dockhand', 'POST', `${path}/link`)).status).toBe(403);
    expect((await server.call('harbormaster', 'DELETE', `${path}/link`)).status).toBe(204);
    expect((await open(second)).status).toBe(404);
    expect((await server.call('harbormaster', 'DELETE', `${path}/link`)).status).toBe(404);
    expect((await open('qwcal_x')).status).toBe(404);
    expect((await server.call('harbormaster', 'POST', '/docks/nowhere/calendar/link')).status).toBe(404);
  });

  it('shows a lapsed offer no more', async () => {
    const path = '/docks/dock-b/calendar';
    const secret = await secretOf(path);
    const call = { name: 'A. Abe', boatName: 'Dotterel', lengthOverallM: 8, beamM: 3, hull: 'monohull', draftM: 1 };
    const dates = { arrival: hours(200), departure: hours(210), plug: 'no power' };
    const { body } = await server.call('harbormaster', 'POST', '/stays', { body: { ...call, ...dates } });
    const { body: options } = await get(`/stays/${body.stay.id}/berth-options?options=200`);
    const onB = options.options.find(({ dockId }: { dockId: string }) => dockId === 'dock-b');
    const offer = { berthId: onB.berthId, expiresAt: hours(2) };
    expect((await server.call('harbormaster', 'POST', `/stays/${body.stay.id}/offer`, { body: offer })).status).toBe(
      200,
    );
    expect((await open(secret)).body).toContain('taken');
    server.clock.now = Date.parse(hours(3));
    expect((await open(secret)).body).not.toContain('taken');
    server.clock.now = testNow;
  });
});

describe('a file of bookings', () => {
  const header = 'name,boatName,lengthOverallM,plug,arrival,departure,phone,note';

  it('is entered whole, by local times, in quotes and over several lines', async () => {
    const before = await stays();
    // RFC 4180, 2.6 and 2.7: line breaks and commas inside quotes, a quote doubled.
    const text = `${header}\r\n"Oduya, M.",Crake,9.5,30 A,2030-07-01,2030-07-03,+1 555 0100,"Says ""hello"".\r\nLate."\r\nA. Abe,Dunlin,8,,2030-07-01T18:00,2030-07-02T10:00:00-04:00,,\r\n`;
    const dry = await importCsv(text, '?dryRun=true');
    expect(dry).toMatchObject({ status: 200, body: { lines: 2, stayIds: [], faults: [] } });
    expect(await stays()).toBe(before);
    const done = await importCsv(text);
    expect(done.status, JSON.stringify(done.body)).toBe(200);
    expect(done.body.stayIds).toHaveLength(2);
    const [first, second] = await Promise.all(done.body.stayIds.map((id: string) => get(`/stays/${id}`)));
    // The marina is in New York: usual arrival 15:00, departure 11:00, UTC-4.
    expect(first?.body.stay).toMatchObject({
      name: 'Oduya, M.',
      boatName: 'Crake',
      state: 'requested',
      arrival: '2030-07-01T19:00:00.000Z',
      departure: '2030-07-03T15:00:00.000Z',
      note: 'Says "hello".\r\nLate.',
    });
    expect(second?.body.stay).toMatchObject({
      arrival: '2030-07-01T22:00:00.000Z',
      departure: '2030-07-02T14:00:00.000Z',
    });
    const undone = await server.call('harbormaster', 'POST', `/changes/${await lastSeq()}/undo`);
    expect(undone.status, JSON.stringify(undone.body)).toBe(200);
    expect(await stays()).toBe(before);
  });

  it('with any faulty line enters nothing and tells every one by its number', async () => {
    server.clock.now = Date.UTC(2030, 9, 1);
    const before = await stays();
    // Clocks in New York skip 02:00-03:00 on 9 March 2031 and show 01:00-02:00 twice on 3 November 2030 (IANA tz database).
    const lines = [
      header,
      'Sound,A,9,30 A,2030-11-10,2030-11-12,,"two',
      'lines"',
      'Length,B,nine,30 A,2030-11-10,2030-11-12,,',
      'Skipped,C,9,30 A,2031-03-09T02:30,2031-03-10,,',
      'Twice,D,9,30 A,2030-11-03T01:30,2030-11-04,,',
      'Order,E,9,30 A,2030-11-12,2030-11-10,,',
      'Day,F,9,30 A,2030-02-30,2030-11-10,,',
      'Few,G,9',
      ',H,9,30 A,2030-11-10,2030-11-12,,',
    ];
    const reply = await importCsv(lines.join('\n'));
    expect(reply).toMatchObject({ status: 422, body: { type: '/problems/faulty-document' } });
    const faults: { pointer: string; message: string }[] = reply.body.errors;
    expect(faults.map(({ pointer }) => pointer)).toEqual([
      '/4/lengthOverallM',
      '/5/arrival',
      '/6/arrival',
      '/7/departure',
      '/8/arrival',
      '/9',
      '/10/name',
    ]);
    expect(faults[1]?.message).toContain('skip');
    expect(faults[2]?.message).toContain('2030-11-03T01:30:00-04:00 or 2030-11-03T01:30:00-05:00');
    expect(await stays()).toBe(before);
    const dry = await importCsv(lines.join('\n'), '?dryRun=true');
    expect(dry).toMatchObject({ status: 200, body: { lines: 1, stayIds: [] } });
    expect(dry.body.faults).toHaveLength(7);
    server.clock.now = testNow;
  });

  it('sent again with its key is entered once, also when its days have passed; another file under it is refused', async () => {
    const text = `${header}\nA. Abe,Grebe,8,,2030-07-01,2030-07-02,,\n`;
    const keyed = { 'idempotency-key': 'file-1' };
    const before = await stays();
    const both = await Promise.all([1, 2].map(() => importCsv(text, '', 'harbormaster', keyed)));
    const done = both.find(({ status }) => status === 200);
    expect(done?.body.stayIds).toHaveLength(1);
    // The other met the first while it ran, or was answered the same.
    for (const { status, body } of both) if (status !== 200) expect(body.type).toBe('/problems/request-running');
    server.clock.now = Date.UTC(2030, 6, 20);
    expect(await importCsv(text, '', 'harbormaster', keyed)).toEqual(done);
    server.clock.now = testNow;
    const other = await importCsv(`${text}A. Abe,Heron,8,,2030-07-01,2030-07-02,,\n`, '', 'harbormaster', keyed);
    expect(other).toMatchObject({ status: 422, body: { type: '/problems/key-reused' } });
    expect(await stays()).toBe(before + 1);
  });

  it('that is no such file is refused in words', async () => {
    expect((await importCsv('')).body).toMatchObject({
      status: 422,
      errors: [{ message: expect.stringMatching(/empty/) }],
    });
    const columns = await importCsv('name,colour\nA,blue\n');
    expect(columns.body.errors.map(({ pointer }: { pointer: string }) => pointer)).toEqual([
      '/1/colour',
      '/1/lengthOverallM',
      '/1/arrival',
      '/1/departure',
    ]);
    expect((await importCsv(`${header}\n"A,B`)).status).toBe(422);
    expect((await importCsv(Buffer.from([0xff, 0xfe, 0x00]))).status).toBe(400);
    expect((await importCsv(`${header}\n`, '', 'viewer')).status).toBe(403);
    expect((await server.call('harbormaster', 'POST', '/bookings/import', { body: {} })).status).toBe(415);
  });

  // OWASP, "CSV Injection": cells that begin with =, +, -, @, tab or carriage return are run by spreadsheets.
  it('is exported so that no cell is a formula, and reads back as it was', async () => {
    const evil = ['=HYPERLINK("x")', '+1 555 0100', '-2+3', '@SUM(A1)', '\tx', '\r=1', 'a"b', 'a,b', "it's"];
    const text = csvText([evil]);
    for (const cell of text.trimEnd().split(/,(?=(?:[^"]*"[^"]*")*[^"]*$)/)) expect(cell).not.toMatch(/^"?[=+\-@\t\r]/);
    expect(text.endsWith('\r\n')).toBe(true);
    for (const cell of evil) expect(fromCell(csvText([[cell]]).startsWith("'") ? `'${cell}` : cell)).toBe(cell);

    const call = { name: '=cmd()', phone: '+1 555 0142', boatName: 'Eider', lengthOverallM: 9 };
    const dates = { arrival: '2030-08-01', departure: '2030-08-02' };
    const made = await server.call('harbormaster', 'POST', '/stays', { body: { ...call, ...dates } });
    expect(made.status).toBe(201);
    const path = '/bookings/export?from=2030-07-31T00:00:00Z&until=2030-08-03T00:00:00Z';
    const exported = await server.call('manager', 'GET', path);
    expect(exported.headers).toMatchObject({
      'content-type': 'text/csv; charset=utf-8; header=present',
      'content-disposition': 'attachment; filename="bookings.csv"',
    });
    expect(exported.body).toContain("'=cmd(),'+1 555 0142,Eider,9");
    expect(exported.body).toContain('2030-08-01T15:00:00-04:00');
    const again = await importCsv(exported.body);
    expect(again.status, JSON.stringify(again.body)).toBe(200);
    expect((await get(`/stays/${again.body.stayIds[0]}`)).body.stay).toMatchObject({
      name: '=cmd()',
      arrival: '2030-08-01T19:00:00.000Z',
    });
    expect((await get(path)).status).toBe(403);
  });
});

async function lastSeq(): Promise<number> {
  const marina = await server.db.prisma.marina.findUniqueOrThrow({ where: { id: 'north' } });
  return Number(marina.seq);
}
