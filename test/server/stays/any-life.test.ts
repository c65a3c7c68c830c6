import fc from 'fast-check';
import { afterAll, beforeAll, expect, it } from 'vitest';
import * as desk from '../../support/naive-desk.ts';
import { rowOfSlips } from '../../support/row-of-slips.ts';
import { type Reply, type TestServer, testNow } from '../../support/server.ts';
import { storedFaults } from '../../support/stored-faults.ts';
import { hours, startMarina } from '../occupancy/fixture.ts';

const slips = ['S1', 'S2'] as const;
let server: TestServer;
beforeAll(async () => {
  // Nothing in it refuses a small boat but who else is there: so the paper book can tell every answer beforehand.
  server = await startMarina(rowOfSlips({ slips: slips.length }));
});
afterAll(() => server.close());

const post = (path: string, body?: object) =>
  server.call('harbormaster', 'POST', path, body === undefined ? {} : { body });

const which = fc.nat(2);
const berthId = fc.constantFrom(...slips);
const of = { which, sensibly: fc.nat(3).map((n) => n > 0) };
const command = fc.oneof(
  { weight: 3, arbitrary: fc.record({ kind: fc.constant('assign'), berthId, ...of }) },
  {
    weight: 2,
    arbitrary: fc.record({ kind: fc.constant('offer'), berthId, lasts: fc.integer({ min: 1, max: 8 }), ...of }),
  },
  { weight: 2, arbitrary: fc.record({ kind: fc.constant('promise'), ...of }) },
  { weight: 2, arbitrary: fc.record({ kind: fc.constant('move'), berthId, ...of }) },
  { weight: 3, arbitrary: fc.record({ kind: fc.constant('swap'), other: fc.integer({ min: 1, max: 2 }), ...of }) },
  { weight: 2, arbitrary: fc.record({ kind: fc.constant('leaveAt'), by: fc.integer({ min: -12, max: 24 }), ...of }) },
  { weight: 3, arbitrary: fc.record({ kind: fc.constant('arrive'), ...of }) },
  { weight: 2, arbitrary: fc.record({ kind: fc.constant('depart'), ...of }) },
  fc.record({ kind: fc.constant('cancel'), ...of }),
  fc.record({ kind: fc.constant('turnAway'), ...of }),
  fc.record({ kind: fc.constant('noShow'), ...of }),
  { weight: 3, arbitrary: fc.record({ kind: fc.constant('wait'), hours: fc.integer({ min: 1, max: 14 }) }) },
  { weight: 3, arbitrary: fc.record({ kind: fc.constant('undo') }) },
);
type Command = typeof command extends fc.Arbitrary<infer T> ? T : never;

const calls = fc.array(fc.record({ from: fc.integer({ min: 2, max: 30 }), lasts: fc.integer({ min: 4, max: 40 }) }), {
  minLength: 3,
  maxLength: 3,
});

interface Run {
  book: desk.Book;
  now: number;
  /** The last change, where it can be undone, and the book before it. */
  last: { readonly seq: number; readonly before: desk.Book } | null;
}

it('after any sequence of commands the service says of every stay and slip what a book on paper says', async () => {
  const seen = new Map<string, number>();
  const count = (what: string) => seen.set(what, (seen.get(what) ?? 0) + 1);
  await fc.assert(
    fc.asyncProperty(
      calls,
      fc.array(command, { minLength: 24, maxLength: 24, size: 'max' }),
      async (asked, commands) => {
        const run = await begin(asked);
        for (const each of commands) {
          const reply = await perform(run, each);
          if (reply !== null) count(`${each.kind} ${reply.status < 300 ? 'done' : 'refused'}`);
          expect(await storedBook(), JSON.stringify(each)).toEqual(run.book);
        }
        expect(await storedFaults(server.db.pool)).toEqual([]);
      },
    ),
    { numRuns: 12, endOnFailure: true, seed: 20261125 },
  );
  // Every command was done at least once, and all that can be refused was refused.
  const kinds = [
    'assign',
    'offer',
    'promise',
    'move',
    'swap',
    'leaveAt',
    'arrive',
    'depart',
    'cancel',
    'turnAway',
    'noShow',
  ];
  expect(Object.fromEntries(seen)).toMatchObject(
    Object.fromEntries(
      [...kinds.flatMap((kind) => [`${kind} done`, `${kind} refused`]), 'undo done'].map((what) => [
        what,
        expect.any(Number),
      ]),
    ),
  );
}, 300_000);

async function begin(asked: readonly { from: number; lasts: number }[]): Promise<Run> {
  server.clock.now = testNow;
  await server.db.pool.query(
    `TRUNCATE space_use, outlet_use, stock_use, assignment, desk_alert, stay, boat CASCADE;
     DELETE FROM change; DELETE FROM change_row; UPDATE marina SET seq = 0`,
  );
  const book: Record<string, desk.PaperStay> = {};
  for (const [i, { from, lasts }] of asked.entries()) {
    const name = `Boat ${i}`;
    const boat = { lengthOverallM: 9, beamM: 3, hull: 'monohull', draftM: 1, plug: '30 A', airConditioning: false };
    const dates = { arrival: hours(from), departure: hours(from + lasts) };
    const { status, body } = await post('/stays', { name: 'M. Oduya', boatName: name, ...boat, ...dates });
    expect(status).toBe(201);
    const paper = { name, state: 'requested', arrival: from, departure: from + lasts, offerEnds: null, places: [] };
    book[body.stay.id] = paper;
  }
  return { book, now: 0, last: null };
}

/** Sends a command, and holds the answer against what the paper book says of it; the book goes on by itself. */
async function perform(run: Run, command: Command): Promise<Reply | null> {
  const { book, now } = run;
  if (command.kind === 'wait') {
    run.now += command.hours;
    run.book = desk.lapse(book, run.now);
    run.last = null;
    server.clock.now = testNow + run.now * 3_600_000;
    return null;
  }
  if (command.kind === 'undo') {
    if (run.last === null) return null;
    const { seq, before } = run.last;
    const reply = await post(`/changes/${seq}/undo`);
    expect(reply.status, JSON.stringify(reply.body)).toBe(200);
    run.book = before;
    run.last = null;
    return reply;
  }
  const ids = Object.keys(book);
  const turned = [...ids.slice(command.which), ...ids.slice(0, command.which)];
  // Mostly what makes sense for one of the boats, else everything would end in refusals.
  const sensible = command.sensibly ? turned.find((each) => onPaper(command, each, run, ids) !== null) : undefined;
  const id = sensible ?? turned[0] ?? '';
  const next = onPaper(command, id, run, ids);
  const reply = await send(command, id, run, ids);
  const said = `${JSON.stringify(command)} at ${now} on ${JSON.stringify(book)}: ${JSON.stringify(reply.body).slice(0, 600)}`;
  if (next === null) {
    expect(reply.status, said).toBeGreaterThanOrEqual(400);
    requireNamed(reply);
    return reply;
  }
  expect(reply.status, said).toBe(200);
  run.last = { seq: await lastSeq(), before: book };
  run.book = { ...book, ...next };
  return reply;
}

type OfStay = Exclude<Command, { kind: 'wait' | 'undo' }>;

const otherOf = (command: Extract<OfStay, { kind: 'swap' }>, id: string, ids: readonly string[]) =>
  ids[(ids.indexOf(id) + command.other) % ids.length] ?? '';

/** What the paper book says of a command: the stays that it changes, as they are then; null: it makes no sense. */
function onPaper(command: OfStay, id: string, { book, now }: Run, ids: readonly string[]): desk.Book | null {
  const stay = book[id];
  if (stay === undefined) throw new Error('no such stay');
  if (command.kind === 'swap') {
    const otherId = otherOf(command, id, ids);
    const both = desk.swap(stay, book[otherId] ?? stay, book, now);
    return both === null ? null : { [id]: both[0], [otherId]: both[1] };
  }
  const after = stepOf(command, stay, now)(stay, book, now);
  return after === null ? null : { [id]: after };
}

function stepOf(command: Exclude<OfStay, { kind: 'swap' }>, stay: desk.PaperStay, now: number): desk.Step {
  switch (command.kind) {
    case 'assign':
      return desk.assign(command.berthId);
    case 'offer':
      return desk.offer(command.berthId, now + command.lasts);
    case 'move':
      return desk.move(command.berthId);
    case 'leaveAt':
      return desk.leaveAt(stay.departure + command.by);
    case 'noShow':
      // 22:00 in New York (UTC-4, IANA tz database) is 02:00 UTC: 14 hours after the test clock's start.
      return desk.noShow(14);
    case 'promise':
      return desk.promise;
    case 'arrive':
      return desk.arrive;
    case 'depart':
      return desk.depart;
    case 'cancel':
      return desk.cancel;
    case 'turnAway':
      return desk.turnAway;
  }
}

function send(command: OfStay, id: string, { book, now }: Run, ids: readonly string[]): Promise<Reply> {
  const at = `/stays/${id}`;
  switch (command.kind) {
    case 'assign':
    case 'move':
      return post(`${at}/${command.kind}`, { berthId: command.berthId });
    case 'offer':
      return post(`${at}/offer`, { berthId: command.berthId, expiresAt: hours(now + command.lasts) });
    case 'swap':
      return post('/swaps', { stayIds: [id, otherOf(command, id, ids)] });
    case 'leaveAt':
      return post(`${at}/reschedule`, { departure: hours((book[id]?.departure ?? 0) + command.by) });
    case 'turnAway':
      return post(`${at}/turn-away`, { reasons: [{ rule: 'space.taken', note: null }] });
    case 'noShow':
      return post(`${at}/no-show`);
    default:
      return post(`${at}/${command.kind}`);
  }
}

/** A refusal says which rule, or what to do instead; one that only the database saw would say neither. */
function requireNamed({ status, body }: Reply): void {
  expect(status, JSON.stringify(body)).toBeLessThan(500);
  if (body.type === '/problems/refused') {
    expect(
      body.findings.some(
        ({ rule, level }: { rule: string; level: string }) => rule.includes('.') && level === 'refuse',
      ),
    ).toBe(true);
    return;
  }
  expect(body.type, JSON.stringify(body)).toMatch(/^\/problems\/(wrong-state|invalid-input)$/);
  expect(body.detail.length).toBeGreaterThan(20);
}

/** What the service has stored, as the paper book writes it. */
async function storedBook(): Promise<desk.Book> {
  // Any request lets offers lapse that have lapsed by now.
  await server.call('viewer', 'GET', '/stays');
  const rows = await server.db.prisma.stay.findMany({
    include: { boat: true, assignments: { orderBy: { fromAt: 'asc' }, include: { spaceUses: true } } },
  });
  const hourOf = (at: Date) => (at.getTime() - testNow) / 3_600_000;
  return Object.fromEntries(
    rows.map((row) => [
      row.id,
      {
        name: row.boat.name,
        state: row.state,
        arrival: hourOf(row.arrivalAt),
        departure: hourOf(row.departureAt),
        offerEnds: row.offerExpiresAt === null ? null : hourOf(row.offerExpiresAt),
        places: row.assignments.map(({ fromAt, untilAt, spaceUses: [use, ...more] }) => {
          if (use === undefined || more.length > 0) throw new Error('a slip is one unit of space');
          expect(use.fromAt).toEqual(fromAt);
          return { berthId: use.unitId, from: hourOf(fromAt), until: hourOf(untilAt), keptUntil: hourOf(use.untilAt) };
        }),
      },
    ]),
  );
}

async function lastSeq(): Promise<number> {
  const marina = await server.db.prisma.marina.findUniqueOrThrow({ where: { id: 'north' } });
  return Number(marina.seq);
}
