import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { openTestDatabase, type TestDatabase, testServerUrl } from '../support/database.ts';
import { createRaceMarina, rowOfSlips } from '../support/row-of-slips.ts';
import { builtService, type ServiceProcess, startService } from '../support/service-process.ts';
import { storedFaults } from '../support/stored-faults.ts';

if (testServerUrl === null) {
  console.log(
    'Races of swaps, extensions and groups: skipped. Several processes share a PostgreSQL server only; set TEST_DATABASE_URL to one where databases may be created.',
  );
}

interface Answer {
  readonly status: number;
  // biome-ignore lint/suspicious/noExplicitAny: a test reads answers of every shape and asserts on them
  readonly body: any;
}

describe.skipIf(testServerUrl === null)('swaps, extensions and groups at once over 2 processes', () => {
  let database: TestDatabase;
  const services: ServiceProcess[] = [];
  beforeAll(async () => {
    database = await openTestDatabase();
    const environment = { ...database.environment, RATE_LIMIT_PER_MINUTE: '0' };
    const start = async () => void services.push(await startService(environment, builtService));
    await Promise.all([start(), start()]);
  });
  afterAll(async () => {
    await Promise.all(services.map((service) => service.end('SIGKILL')));
    await database?.close();
  });

  /** A marina of slips alone, with so many stays of the same days. */
  async function marina(id: string, slips: number, stays: number) {
    const row = rowOfSlips({ slips });
    const inventory = {
      ...row,
      spaceUnits: row.spaceUnits.filter(({ kind }) => kind === 'slip'),
      berths: row.berths.filter(({ faceFromM }) => faceFromM === null),
    };
    const token = await createRaceMarina(database.db, id, inventory, stays);
    return async (n: number, method: string, path: string, body: object, headers = {}): Promise<Answer> => {
      const response = await fetch(`${services[n % services.length]?.address}/v1/marinas/${id}${path}`, {
        method,
        headers: { authorization: `Bearer ${token}`, 'content-type': 'application/json', ...headers },
        body: JSON.stringify(body),
      });
      return { status: response.status, body: await response.json() };
    };
  }

  async function places(marinaId: string): Promise<{ stay_id: string; berth_id: string }[]> {
    const { rows } = await database.db.pool.query(
      'SELECT stay_id, berth_id FROM assignment WHERE marina_id = $1 ORDER BY stay_id, from_at',
      [marinaId],
    );
    expect(await storedFaults(database.db.pool)).toEqual([]);
    return rows;
  }

  test('swaps of three boats in a ring leave each boat one slip and each slip one boat', async () => {
    const send = await marina('swaps', 3, 3);
    for (const n of [1, 2, 3]) {
      expect(await send(n, 'POST', `/stays/stay-${n}/assign`, { berthId: `S${n}` })).toMatchObject({ status: 200 });
    }
    const pairs = Array.from({ length: 30 }, (_, i) => [(i % 3) + 1, ((i + 1) % 3) + 1]);
    const answers = await Promise.all(
      pairs.map(([a, b], i) => send(i, 'POST', '/swaps', { stayIds: [`stay-${a}`, `stay-${b}`] })),
    );
    // Any two of them can change places: nobody is in the way, so each is done, one after the other.
    expect(answers.filter(({ status }) => status !== 200)).toEqual([]);
    const stored = await places('swaps');
    expect(stored.map(({ stay_id }) => stay_id)).toEqual(['stay-1', 'stay-2', 'stay-3']);
    expect(stored.map(({ berth_id }) => berth_id).sort()).toEqual(['S1', 'S2', 'S3']);
  });

  test('a stay that is extended and boats that want its slip afterwards: one has it, all others are told', async () => {
    const send = await marina('extends', 1, 21);
    // A stay is rescheduled within two years of today.
    const day = (days: number) => new Date(Date.now() + days * 86_400_000).toISOString();
    await database.db.pool.query(
      `UPDATE stay SET arrival_at = CASE id WHEN 'stay-1' THEN $1::timestamptz ELSE $2::timestamptz END,
         departure_at = CASE id WHEN 'stay-1' THEN $3::timestamptz ELSE $4::timestamptz END WHERE marina_id = 'extends'`,
      [day(30), day(32.5), day(32), day(34)],
    );
    expect(await send(0, 'POST', '/stays/stay-1/assign', { berthId: 'S1' })).toMatchObject({ status: 200 });
    const answers = await Promise.all(
      Array.from({ length: 21 }, (_, i) =>
        i === 10
          ? send(i, 'POST', '/stays/stay-1/reschedule', { departure: day(33) })
          : send(i, 'POST', `/stays/stay-${i < 10 ? i + 2 : i + 1}/assign`, { berthId: 'S1' }),
      ),
    );
    expect(answers.filter(({ status }) => status === 200)).toHaveLength(1);
    for (const { status, body } of answers.filter((each) => each.status !== 200)) {
      expect(status, JSON.stringify(body)).toBe(409);
      expect(body.findings).toContainEqual(expect.objectContaining({ rule: 'space.taken', level: 'refuse' }));
    }
    expect(await places('extends')).toHaveLength(answers[10]?.status === 200 ? 1 : 2);
  });

  test('two groups of three that want the same four slips: one is placed whole, the other not at all', async () => {
    const send = await marina('groups', 4, 6);
    const ids: string[] = [];
    for (const first of [1, 4]) {
      const times = { from: '2031-06-10T20:00:00Z', until: '2031-06-12T15:00:00Z' };
      const group = await send(0, 'POST', '/groups', {
        name: `Group ${first}`,
        contactName: 'R. Achterberg',
        ...times,
      });
      expect(group.status, JSON.stringify(group.body)).toBe(201);
      const stayIds = [first, first + 1, first + 2].map((n) => `stay-${n}`);
      const set = await send(0, 'PUT', `/groups/${group.body.id}/members`, { stayIds }, { 'if-match': '*' });
      expect(set.status).toBe(200);
      ids.push(group.body.id);
    }
    const answers = await Promise.all(
      Array.from({ length: 8 }, (_, i) => send(Math.floor(i / 2), 'POST', `/groups/${ids[i % 2]}/place`, {})),
    );
    const placed = answers.filter(({ status }) => status === 200);
    expect(placed).toHaveLength(1);
    expect(placed[0]?.body.assignments).toHaveLength(3);
    for (const { status, body } of answers.filter((each) => each.status !== 200)) {
      expect(status, JSON.stringify(body)).toBe(409);
      // The winner has nobody left to place; the other is told who finds no berth.
      expect(body.type).toMatch(/^\/problems\/(refused|wrong-state)$/);
      if (body.type === '/problems/refused') expect(body.findings).toHaveLength(2);
    }
    const won: string[] = placed[0]?.body.assignments.map(({ stayId }: { stayId: string }) => stayId).sort();
    expect((await places('groups')).map(({ stay_id }) => stay_id)).toEqual(won);
  });

  test('a block and boats that want one of its slips: the block is kept whole, or one boat was first', async () => {
    const send = await marina('blocks', 3, 10);
    const block = {
      name: 'Meet',
      contactName: 'R. Achterberg',
      from: '2031-06-10T12:00:00Z',
      until: '2031-06-13T12:00:00Z',
      berthIds: ['S1', 'S2', 'S3'],
    };
    const answers = await Promise.all(
      Array.from({ length: 11 }, (_, i) =>
        i === 5
          ? send(i, 'POST', '/groups', block)
          : send(i, 'POST', `/stays/stay-${i < 5 ? i + 1 : i}/assign`, { berthId: 'S2' }),
      ),
    );
    const won = answers.filter(({ status }) => status < 300);
    expect(won).toHaveLength(1);
    for (const { status, body } of answers.filter((each) => each.status >= 300)) {
      expect(status, JSON.stringify(body)).toBe(409);
      expect(body.findings.map(({ rule }: { rule: string }) => rule)).toContainEqual(
        expect.stringMatching(/^space\.(taken|blocked)$/),
      );
    }
    expect(await places('blocks')).toHaveLength(answers[5]?.status === 201 ? 0 : 1);
  });
});
