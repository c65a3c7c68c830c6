import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import type { Inventory } from '../../core/inventory/inventory.ts';
import type { Database } from '../../server/db/client.ts';
import { openTestDatabase, type TestDatabase, testServerUrl } from '../support/database.ts';
import { createRaceMarina, rowOfSlips, stepDownFrom } from '../support/row-of-slips.ts';
import { builtService, type ServiceProcess, startService } from '../support/service-process.ts';
import { storedFaults } from '../support/stored-faults.ts';

const racers = 200;
const processes = 4;

if (testServerUrl === null) {
  console.log(
    'Races between service processes: skipped. Several processes share a PostgreSQL server only; set TEST_DATABASE_URL to one where databases may be created.',
  );
}

interface Loss {
  readonly type: string;
  readonly status: number;
  readonly findings: readonly { readonly rule: string; readonly level: string; readonly message: string }[];
  readonly alternatives: readonly unknown[];
}

describe.skipIf(testServerUrl === null)(`${racers} assignments at once over ${processes} processes`, () => {
  let database: TestDatabase;
  const services: ServiceProcess[] = [];
  beforeAll(async () => {
    database = await openTestDatabase();
    const environment = { ...database.environment, RATE_LIMIT_PER_MINUTE: '0' };
    const start = async () => void services.push(await startService(environment, builtService));
    await Promise.all(Array.from({ length: processes }, start));
  });
  afterAll(async () => {
    await Promise.all(services.map((service) => service.end('SIGKILL')));
    await database?.close();
  });

  test('of one berth', async () => {
    const losses = await race(database.db, 'one-berth', rowOfSlips({ slips: 2 }), () => ({ berthId: 'S1' }));
    expectRule(losses, /^space\.taken$/);
    // The other slip is left to every one of them.
    expect(losses.every(({ alternatives }) => JSON.stringify(alternatives).includes('"berthId":"S2"'))).toBe(true);
  });

  test('of one outlet, which two berths share', async () => {
    const two = rowOfSlips({ slips: 2 });
    const shared: Inventory = {
      ...two,
      outlets: two.outlets.slice(0, 1),
      pedestals: two.pedestals.slice(0, 1),
      berths: two.berths.map((berth) => ({
        ...berth,
        reaches: [{ outletId: 'O1', alongM: 0.5, acrossM: 1, detourM: 0 }],
      })),
    };
    const losses = await race(database.db, 'one-outlet', shared, (n) => ({ berthId: n % 2 === 0 ? 'S1' : 'S2' }));
    expectRule(losses, /^(outlet|space)\.taken$/);
    // Half of them asked for the winner's own berth, half for the one beside it.
    const byOutlet = losses.filter(({ findings }) => findings.some(({ rule }) => rule === 'outlet.taken'));
    expect(byOutlet).toHaveLength(racers / 2);
  });

  test('of ranges of a face that all hold the same metre', async () => {
    const losses = await race(database.db, 'one-metre', rowOfSlips({ slips: 4 }), (n) => ({
      berthId: 'F',
      // From 21..25.5 until 34.5..38.75: each holds the 9 m of its boat and metres 26 to 34, and few are alike.
      place: { fromM: 21 + (n % 10) / 2, untilM: 34.5 + ((n * 7) % 18) / 4 },
    }));
    expectRule(losses, /^space\.taken$/);
  });

  test('with the last adapter in stock, each from a berth and an outlet of its own', async () => {
    const inventory = rowOfSlips({ slips: racers, configurationId: 'SS2-50', stepDowns: 1 });
    const losses = await race(database.db, 'last-adapter', inventory, (n) => ({
      berthId: `S${n}`,
      hookUp: stepDownFrom(n),
    }));
    expectRule(losses, /^stock\.none$/);
  });

  test('on a feeder with room for one more, each at a berth and an outlet of its own', async () => {
    // Up to four receptacles count in full (NFPA 70, 2020 edition, table 555.6): one 30 A outlet more fits 70 A, two do not.
    const inventory = rowOfSlips({ slips: racers + 1, feederA: 70 });
    const losses = await race(database.db, 'full-feeder', inventory, (n) => ({ berthId: `S${n}` }), {
      berthId: `S${racers + 1}`,
    });
    expectRule(losses, /^demand\./);
    expect(losses[0]?.findings.find(({ rule }) => rule.startsWith('demand.'))).toMatchObject({ level: 'refuse' });
  });

  /** Sends all at once, checks that one wins and what is stored; returns what the losers were answered. */
  async function race(
    db: Database,
    marinaId: string,
    inventory: Inventory,
    placementOf: (n: number) => unknown,
    before?: unknown,
  ): Promise<Loss[]> {
    const stays = racers + (before === undefined ? 0 : 1);
    const token = await createRaceMarina(db, marinaId, inventory, stays);
    const assign = async (n: number, placement: unknown) => {
      const service = services[n % processes];
      const response = await fetch(`${service?.address}/v1/marinas/${marinaId}/stays/stay-${n}/assign`, {
        method: 'POST',
        headers: { authorization: `Bearer ${token}`, 'content-type': 'application/json' },
        body: JSON.stringify(placement),
      });
      return { status: response.status, body: await response.text() };
    };
    if (before !== undefined) expect(await assign(stays, before)).toMatchObject({ status: 200 });

    const numbers = Array.from({ length: racers }, (_, i) => i + 1);
    const answers = await Promise.all(numbers.map((n) => assign(n, placementOf(n))));

    const lost = answers.filter(({ status }) => status !== 200);
    expect(lost.filter(({ status }) => status !== 409)).toEqual([]);
    expect(answers.length - lost.length).toBe(1);
    const losses = lost.map(({ body }): Loss => JSON.parse(body));
    for (const { type, status } of losses) expect({ type, status }).toEqual({ type: expect.any(String), status: 409 });
    expect(losses.filter(({ type }) => !/^\/problems\/(refused|double-use)$/.test(type))).toEqual([]);

    const earlier = before === undefined ? 0 : 1;
    const stored = await db.pool.query(
      `SELECT (SELECT count(*)::int FROM assignment WHERE marina_id = $1) AS assignments,
        (SELECT count(DISTINCT assignment_id)::int FROM space_use WHERE marina_id = $1) AS in_space,
        (SELECT count(*)::int FROM outlet_use WHERE marina_id = $1) AS outlets,
        (SELECT count(*)::int FROM change WHERE marina_id = $1 AND kind = 'stay.assigned') AS changes,
        (SELECT seq::int FROM marina WHERE id = $1) AS seq`,
      [marinaId],
    );
    const one = 1 + earlier;
    // Making and preparing the marina are two changes more; a refusal leaves no number behind.
    expect(stored.rows[0]).toEqual({ assignments: one, in_space: one, outlets: one, changes: one, seq: one + 2 });
    expect(await storedFaults(db.pool)).toEqual([]);
    return losses;
  }
});

/** Every loser is told which rule spoke and what is left. */
function expectRule(losses: readonly Loss[], rule: RegExp): void {
  expect(losses).toHaveLength(racers - 1);
  for (const { findings, alternatives } of losses) {
    expect(findings.filter(({ level }) => level === 'refuse').map((finding) => finding.rule)).toContainEqual(
      expect.stringMatching(rule),
    );
    expect(Array.isArray(alternatives)).toBe(true);
  }
}
