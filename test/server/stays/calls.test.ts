import { afterAll, afterEach, beforeAll, describe, expect, it } from 'vitest';
import { call as send, type TestServer, testNow } from '../../support/server.ts';
import { hours, startMarina } from '../occupancy/fixture.ts';

let server: TestServer;
beforeAll(async () => {
  server = await startMarina();
});
afterAll(() => server.close());
afterEach(() => {
  server.clock.now = testNow;
});

const sevenFacts = {
  name: 'J. Lindqvist',
  phone: '+1 555 0142',
  boatName: 'Marigold',
  lengthOverallM: 9.5,
  hull: 'monohull',
  draftM: 1.2,
  arrival: '2030-06-14',
  departure: '2030-06-16',
  plug: '30 A',
  airConditioning: true,
};
const request = (body: object, headers = {}) => server.call('harbormaster', 'POST', '/stays', { body, headers });
const turnAway = (body: object) => server.call('harbormaster', 'POST', '/turned-away', { body });
const factsOf = (unknown: { fact: string }[]) => unknown.map(({ fact }) => fact);

describe('a call of seven facts', () => {
  it('enters boat and stay, and says what is still to ask', async () => {
    const reply = await request({ ...sevenFacts, inletFromBowM: 8, inletSide: 'starboard', note: 'Two dogs.' });
    expect(reply.status).toBe(201);
    const said = { origin: 'phone', at: hours(0) };
    expect(reply.body).toMatchObject({
      stay: {
        boatId: reply.body.boat.id,
        boatName: 'Marigold',
        name: 'J. Lindqvist',
        phone: '+1 555 0142',
        state: 'requested',
        wishes: { dockId: null, berthId: null, orientation: null, mooring: null },
        note: 'Two dogs.',
        needsBerth: null,
        turnedAwayReasons: null,
        version: 1,
        createdAt: hours(0),
      },
      boat: {
        name: 'Marigold',
        lengthOverallM: { value: 9.5, ...said },
        hull: { value: 'monohull', ...said },
        draftM: { value: 1.2, ...said },
        beamM: null,
        wantsPower: { value: true, ...said },
        airConditioning: { value: true, ...said },
        cordSets: null,
        inlets: [
          {
            id: 'I1',
            configurationIds: { value: ['L5-30'], ...said },
            fromBowM: { value: 8, ...said },
            side: { value: 'starboard', ...said },
            mainBreakerA: null,
          },
        ],
      },
      findings: [],
    });
    expect(factsOf(reply.body.unknown)).toEqual(['beamM', 'frequenciesHz', 'cordSets', 'ownSupplies']);
    const read = await server.call('dockhand', 'GET', `${reply.headers.location}`);
    expect(read.body).toMatchObject({ stay: reply.body.stay, boat: reply.body.boat, assignments: [] });
    expect(read.body.unknown).toEqual(reply.body.unknown);
    expect(read.headers.etag).toBe('"1"');
  });

  // Both 50 A patterns are in use on boats: NEMA WD 6, SS1-50 (125 V) and SS2-50 (125/250 V).
  it('leaves "50 A" between both patterns and asks which', async () => {
    const { body } = await request({ ...sevenFacts, plug: '50 A' });
    expect(body.boat.inlets[0].configurationIds.value).toEqual(['SS1-50', 'SS2-50']);
    expect(body.unknown).toContainEqual({
      subject: { kind: 'boat', id: body.boat.id, label: 'Marigold' },
      fact: 'inlets.0.configurationIds',
      question: 'Is the 50 A plug of inlet I1 125 V (three wires) or 125/250 V (four wires)?',
    });
  });

  it('guesses at no plug that it does not understand, and keeps the words', async () => {
    const { body } = await request({ ...sevenFacts, plug: 'the yellow one', inletSide: 'port', note: 'Late.' });
    expect(body.boat).toMatchObject({ inlets: [], wantsPower: null });
    expect(body.findings).toMatchObject([
      { rule: 'hookup.plug', level: 'confirm', actual: 'the yellow one', missingFact: { fact: 'inlets' } },
    ]);
    expect(factsOf(body.unknown)).toContain('inlets');
    expect(body.stay.note).toBe('Late.\nPlug as said: "the yellow one". Inlet as said: port.');
  });

  it('asks a boat without power nothing of plugs', async () => {
    const { body } = await request({ ...sevenFacts, plug: 'no power', beamM: 3 });
    expect(body.boat).toMatchObject({ inlets: [], wantsPower: { value: false } });
    expect(body.unknown).toEqual([]);
  });

  it('takes a boat that was here before, with its facts', async () => {
    const { body: first } = await request(sevenFacts);
    const again = { name: 'J. Lindqvist', boatId: first.boat.id, arrival: '2030-07-01', departure: '2030-07-02' };
    expect((await request(again)).body).toMatchObject({ boat: first.boat, stay: { boatId: first.boat.id } });
    expect((await request({ ...again, draftM: 2 })).body.errors).toMatchObject([{ pointer: '/draftM' }]);
    expect((await request({ ...again, boatId: 'nowhere' })).body.errors).toMatchObject([{ pointer: '/boatId' }]);
    expect(
      (await send(server.app, server.foreignTokens.harbormaster, 'POST', '/v1/marinas/south/stays', { body: again }))
        .status,
    ).toBe(400);
  });

  it('is entered once, however often it is sent', async () => {
    const headers = { 'idempotency-key': '"call-1"' };
    const first = await request(sevenFacts, headers);
    const rows = await counts();
    const second = await request(sevenFacts, headers);
    expect(second).toMatchObject({ status: 201, body: first.body });
    expect(second.headers.location).toBe(first.headers.location);
    expect((await request({ ...sevenFacts, phone: null }, headers)).status).toBe(422);
    expect(await counts()).toEqual(rows);
  });
});

// US daylight saving time: from the second Sunday in March, 2:00, to the first Sunday in November (15 U.S.C. 260a).
describe('dates', () => {
  const periodOf = async (arrival: string, departure: string) => {
    const { stay } = (await request({ ...sevenFacts, arrival, departure })).body;
    return [stay.arrival, stay.departure];
  };

  it("are taken at the marina's usual hours, in summer, in winter and across the change", async () => {
    expect(await periodOf('2030-06-14', '2030-06-16')).toEqual([
      '2030-06-14T19:00:00.000Z',
      '2030-06-16T15:00:00.000Z',
    ]);
    expect(await periodOf('2030-11-02', '2030-11-04')).toEqual([
      '2030-11-02T19:00:00.000Z',
      '2030-11-04T16:00:00.000Z',
    ]);
    expect(await periodOf('2031-03-08', '2031-03-10')).toEqual([
      '2031-03-08T20:00:00.000Z',
      '2031-03-10T15:00:00.000Z',
    ]);
    expect(await periodOf('2030-06-14T18:30:00-04:00', '2030-06-16')).toEqual([
      '2030-06-14T22:30:00.000Z',
      '2030-06-16T15:00:00.000Z',
    ]);
  });

  it('are refused where they cannot be, by the field', async () => {
    const rows = await counts();
    const faults: [string, string, string][] = [
      ['2030-06-16', '2030-06-14', '/departure'],
      ['2030-06-14', '2030-06-14', '/departure'],
      ['2026-02-30', '2030-06-16', '/arrival'],
      ['2030-06-14T25:00:00Z', '2030-06-16', '/arrival'],
      ['2030-06-14T12:00:00', '2030-06-16', '/arrival'],
      ['tomorrow', '2030-06-16', '/arrival'],
      ['2032-07-01', '2032-07-02', '/arrival'],
      ['2030-06-14', '2040-06-16', '/departure'],
      ['0000-01-01', '2030-06-16', '/arrival'],
      ['9999-12-31', '9999-12-31', '/departure'],
      ['2030-06-01', '2030-06-02', '/departure'],
    ];
    for (const [arrival, departure, pointer] of faults) {
      const reply = await request({ ...sevenFacts, arrival, departure });
      expect(reply.status, arrival).toBe(400);
      expect(reply.body.errors, arrival).toMatchObject([{ in: 'body', pointer }]);
    }
    expect(await counts()).toEqual(rows);
  });

  it('are refused where a clock change skips the hour, and keep the berth where it repeats one', async () => {
    const { settings } = await server.db.prisma.marina.findUniqueOrThrow({ where: { id: 'north' } });
    const write = (changed: object) =>
      server.db.prisma.marina.update({
        where: { id: 'north' },
        data: { settings: { ...(settings as object), ...changed }, inventoryRevision: { increment: 1 } },
      });
    await write({ arrivalHour: 2 });
    const skipped = await request({ ...sevenFacts, arrival: '2031-03-09', departure: '2031-03-10' });
    const shown = await request({ ...sevenFacts, arrival: '2031-03-08', departure: '2031-03-10' });
    await write({ arrivalHour: 1, departureHour: 1 });
    const twice = await request({ ...sevenFacts, arrival: '2030-11-03', departure: '2030-11-03' });
    await write({});
    // 1:00 is shown at 5:00Z and again at 6:00Z: the berth is kept from the one to the other.
    expect(twice.body.stay).toMatchObject({
      arrival: '2030-11-03T05:00:00.000Z',
      departure: '2030-11-03T06:00:00.000Z',
    });
    expect(skipped.body.errors).toMatchObject([{ pointer: '/arrival', message: expect.stringContaining('skip') }]);
    expect(shown.body.stay.arrival).toBe('2031-03-08T07:00:00.000Z');
  });
});

describe('a call turned away', () => {
  it('is recorded in one request, with its reasons', async () => {
    const dates = { arrival: '2030-06-14', departure: '2030-06-16' };
    const reasons = [{ rule: 'fit.length', note: 'Too long.' }, { note: 'Wanted the west dock.' }];
    const reply = await turnAway({ lengthOverallM: 31, ...dates, reasons });
    expect(reply.status).toBe(201);
    expect(reply.body.stay).toMatchObject({
      state: 'turnedAway',
      name: 'not stated',
      phone: null,
      turnedAwayReasons: [
        { rule: 'fit.length', note: 'Too long.' },
        { rule: null, note: 'Wanted the west dock.' },
      ],
    });
    for (const none of [[], [{}], [{ rule: 'no rule' }], [{ rule: 'fit.tooLong' }], undefined]) {
      expect((await turnAway({ lengthOverallM: 31, ...dates, reasons: none })).status).toBe(400);
    }
    const unknown = await turnAway({
      lengthOverallM: 31,
      ...dates,
      reasons: [{ rule: 'fit.tooLong', note: 'Too long.' }],
    });
    expect(unknown.body.errors).toMatchObject([
      {
        pointer: '/reasons/0/rule',
        message: expect.stringContaining('"fit.tooLong" is not known here. Give one of "fit.length"'),
      },
    ]);
    expect((await turnAway({ ...dates, reasons })).body.errors).toMatchObject([{ pointer: '/lengthOverallM' }]);
  });
});

describe('bad input', () => {
  it('is refused by its place and stores nothing', async () => {
    const rows = await counts();
    const long = 'x'.repeat(1_000_000);
    const faults: [object, string][] = [
      [{ name: undefined }, '/name'],
      [{ name: long }, '/name'],
      [{ name: 7 }, '/name'],
      [{ phone: long }, '/phone'],
      [{ boatName: 'a\u0007b' }, '/boatName'],
      [{ plug: long }, '/plug'],
      [{ note: long }, '/note'],
      [{ note: 'nul \u0000' }, '/note'],
      [{ arrival: long }, '/arrival'],
      [{ lengthOverallM: '9.5' }, '/lengthOverallM'],
      [{ lengthOverallM: 0 }, '/lengthOverallM'],
      [{ lengthOverallM: null }, '/lengthOverallM'],
      [{ hull: 'raft' }, '/hull'],
      [{ draftM: -1 }, '/draftM'],
      [{ state: 'promised' }, '/state'],
      [{ wantsPower: true, plug: 'none' }, '/plug'],
      [{ wishes: { dockId: 'nowhere' } }, '/wishes/dockId'],
      [{ wishes: { berthId: 'nowhere' } }, '/wishes/berthId'],
      [{ wishes: { view: 'sea' } }, '/wishes/view'],
    ];
    for (const [fault, pointer] of faults) {
      const reply = await request({ ...sevenFacts, ...fault });
      expect(reply.status, pointer).toBe(400);
      expect(reply.body.errors, pointer).toMatchObject([{ in: 'body', pointer }]);
    }
    expect(await counts()).toEqual(rows);
  });

  it('that is only odd text comes back as it was', async () => {
    const odd = {
      name: `<img src=x onerror=alert(1)>`,
      boatName: `Robert'); DROP TABLE stay;--`,
      note: 'a\nb {{1}} 🚤',
    };
    const { body } = await request({ ...sevenFacts, ...odd });
    expect(body.stay).toMatchObject(odd);
  });
});

it('only the harbormaster writes', async () => {
  for (const role of ['dockhand', 'manager', 'viewer'] as const) {
    expect((await server.call(role, 'POST', '/stays', { body: sevenFacts })).status).toBe(403);
  }
});

async function counts() {
  const { prisma } = server.db;
  return [await prisma.boat.count(), await prisma.stay.count(), await prisma.change.count()];
}
