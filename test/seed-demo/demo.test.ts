import { spawn } from 'node:child_process';
import { rm } from 'node:fs/promises';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { turningAwayRules } from '../../core/berths/turning-away-rules.ts';
import type { Boat } from '../../core/boats.ts';
import { electricalCautions } from '../../core/cautions.ts';
import { demandAt } from '../../core/electrical/demand/demand-at.ts';
import { isOver } from '../../core/electrical/demand/part-measures.ts';
import { indexInventory } from '../../core/inventory/index-inventory.ts';
import { demandPractice } from '../../core/standards/demand-practices.ts';
import { assignmentDocument } from '../../server/assignments/schema.ts';
import { boatFactsSchema, factsToApi } from '../../server/boats/schema.ts';
import { type Database, openDatabase } from '../../server/db/client.ts';
import { loadInventory } from '../../server/inventory/load.ts';
import { loadOccupancy } from '../../server/occupancy/load.ts';
import { projectRoot } from '../../server/project-root.ts';
import { stayDocument } from '../../server/stays/schema.ts';
import { createServerDatabase, emptyFolder, testServerUrl } from '../support/database.ts';
import { type Ending, runToEnd } from '../support/service-process.ts';

const tables = ['marina', 'change', 'token', 'boat', 'holding', 'absence', 'stay', 'assignment', 'space_use'] as const;
const minutes = 60_000;

describe('npm run demo -- --once', () => {
  let environment: Readonly<Record<string, string>>;
  let remove: () => Promise<void>;
  let first: Ending;
  let second: Ending;
  let rowsBefore: Record<string, number>;
  let db: Database;

  beforeAll(async () => {
    if (testServerUrl === null) {
      const folder = await emptyFolder();
      environment = { DATA_DIR: folder };
      remove = () => rm(folder, { recursive: true, force: true });
    } else ({ environment, remove } = await createServerDatabase(testServerUrl));
    first = await runToEnd(['seed-demo/main.ts', '--once'], environment);
    db = await open();
    rowsBefore = await countRows();
    await db.close();
    second = await runToEnd(['seed-demo/main.ts', '--once'], environment);
    db = await open();
  }, 5 * minutes);

  afterAll(async () => {
    await db.close();
    await remove();
  });

  it('ends well both times, and loads once', async () => {
    expect(first.output).toContain('250 berths and 350 outlets entered');
    expect([first.code, second.code]).toEqual([0, 0]);
    expect(second.output).toContain('nothing was loaded');
    expect(await countRows()).toEqual(rowsBefore);
  });

  it('stores the whole season', async () => {
    const { rows } = await db.pool.query<{ calls: number; stays: number; placed: number }>(
      `SELECT count(*) FILTER (WHERE id LIKE 'call-%' AND state = 'turnedAway')::int AS calls,
         count(*) FILTER (WHERE id LIKE 'stay-%')::int AS stays,
         (SELECT count(*)::int FROM assignment) AS placed FROM stay`,
    );
    expect(rows[0]).toMatchObject({ calls: 120, stays: 1_500 });
    expect(rows[0]?.placed).toBeGreaterThan(1_200);
  });

  it('turns calls away by what the rules say, and says in words where they would have found a berth', async () => {
    const stays = await db.prisma.stay.findMany({ where: { state: 'turnedAway' }, include: { boat: true } });
    const all = stays.map((row) => stayDocument(row, row.boat).turnedAwayReasons ?? []);
    expect(all.every((reasons) => reasons.length > 0)).toBe(true);
    const rules = new Set(all.flatMap((reasons) => reasons.flatMap(({ rule }) => rule ?? [])));
    for (const rule of rules) expect(turningAwayRules).toContain(rule);
    // Boats too deep for every berth, and with plugs that no outlet takes, were refused whatever was free.
    expect(rules).toContain('fit.depth');
    expect(rules).toContain('hookup.mating');
    const byRule = all.filter((reasons) => reasons.some(({ rule }) => rule !== null));
    expect(byRule.length).toBeGreaterThan(40);
  });

  it('stores what the API can show: every assignment and every boat', async () => {
    const assignments = await db.prisma.assignment.findMany();
    expect(assignments.map(assignmentDocument).every(({ power }) => power !== null)).toBe(true);
    const boats = await db.prisma.boat.findMany();
    const faulty = boats.filter(({ facts }) => {
      return !boatFactsSchema.safeParse(factsToApi(storedFacts(facts))).success;
    });
    expect(faulty.map(({ id }) => id)).toEqual([]);
  });

  it('gives no space, outlet or adapter away twice, by a plain comparison of every pair', async () => {
    const { rows } = await db.pool.query<{ space: number; outlet: number; stock: number }>(
      `SELECT
         (SELECT count(*)::int FROM space_use a JOIN space_use b ON a.id < b.id AND a.unit_id = b.unit_id
            AND a.from_m < b.until_m AND b.from_m < a.until_m AND a.from_at < b.until_at AND b.from_at < a.until_at) AS space,
         (SELECT count(*)::int FROM outlet_use a JOIN outlet_use b ON a.id < b.id AND a.outlet_id = b.outlet_id
            AND a.from_at < b.until_at AND b.from_at < a.until_at) AS outlet,
         (SELECT count(*)::int FROM stock_use a JOIN adapter_stock s ON s.id = a.stock_id WHERE s.quantity <
            (SELECT sum(b.quantity) FROM stock_use b WHERE b.stock_id = a.stock_id
               AND b.from_at <= a.from_at AND a.from_at < b.until_at)) AS stock`,
    );
    expect(rows[0]).toEqual({ space: 0, outlet: 0, stock: 0 });
  });

  it(
    'stores no refused assignment and passes no limit, held to the plain computation at single moments',
    async () => {
      const refused = await db.prisma.assignment.count({ where: { verdict: 'refused' } });
      expect(refused).toBe(0);
      const stored = await loadInventory(db.prisma, 'demo');
      const practice = demandPractice('nec-555-2020');
      if (stored === null || practice === null) throw new Error('no demo marina');
      const index = indexInventory(stored.inventory);
      const arrivals = await db.prisma.assignment.findMany({ select: { fromAt: true }, orderBy: { fromAt: 'asc' } });
      const moments = arrivals.filter((_, i) => i % 40 === 0).map(({ fromAt }) => fromAt.getTime());
      expect(moments.length).toBeGreaterThan(25);
      for (const at of moments) {
        const { outletUses } = await loadOccupancy(db.prisma, 'demo', { from: at, until: at + 1 });
        const over = demandAt(index, practice, outletUses, at).flatMap(({ rated }) => rated.limits.filter(isOver));
        expect(over).toEqual([]);
      }
    },
    minutes,
  );

  it('prints what a person needs for each arrival of the day, no line wider than 160 columns', () => {
    const { output } = second;
    expect(output.split('\n').filter((line) => line.length > 160)).toEqual(
      electricalCautions.map((caution) => `! ${caution}`).filter((line) => line.length > 160),
    );
    for (const words of ['Boat', 'Hook-up', 'Adapter', 'Cord', 'Tightest above', 'Still to confirm']) {
      expect(output).toContain(words);
    }
    expect(output).toContain('borrow from the');
    expect(output).toContain("boat's own");
    expect(output).toContain('Is the 50 A plug 125 V');
    expect(output).toContain('22.9 m (75 ft)');
    expect(output).toContain('metres');
    expect(output).toContain('margin');
    expect(output).toMatch(/Refused for .+: \d+ berths/);
    expect(output).toMatch(/space\.held \(\d+\): /);
    for (const caution of electricalCautions) expect(output).toContain(caution);
  });

  it('prints no token where it does not serve', () => {
    expect(first.output).not.toMatch(/qw_/);
  });

  it(
    'serves by the code of the service, and each start revokes the tokens of the one before',
    async () => {
      await db.close();
      const earlier = await serveUntil(async () => 200);
      const answered = await serveUntil(async (address, tokens) => {
        expect(tokens).toHaveLength(4);
        expect(await ask(address, earlier.tokens[0])).toBe(401);
        return ask(address, tokens[0]);
      });
      expect(answered.status).toBe(200);
      db = await open();
    },
    minutes,
  );

  it('refuses an option that it does not know', async () => {
    const { code, output } = await runToEnd(['seed-demo/main.ts', '--twice'], environment);
    expect([code, output.trim()]).toEqual([2, '"--twice" is no option of the demo. Use --once, or none.']);
  });

  async function ask(address: string, token: string | undefined): Promise<number> {
    const headers = { authorization: `Bearer ${token}` };
    const answer = await fetch(`${address}/v1/marinas/demo/changes?limit=1`, { headers });
    await answer.text();
    return answer.status;
  }

  /** Starts the demo without --once, asks it when it listens, and stops it. */
  async function serveUntil(asked: (address: string, tokens: readonly string[]) => Promise<number>) {
    const child = spawn(process.execPath, ['--import', 'tsx', 'seed-demo/main.ts'], {
      cwd: projectRoot,
      env: { PATH: process.env.PATH, HOME: process.env.HOME, PORT: '0', LOG_LEVEL: 'info', ...environment },
      stdio: ['ignore', 'pipe', 'inherit'],
    });
    let output = '';
    const ended = new Promise((resolve) => child.once('close', resolve));
    const address = await new Promise<string>((resolve, reject) => {
      child.once('close', () => reject(new Error(`The demo ended: ${output}`)));
      child.stdout.on('data', (data: Buffer) => {
        output += data.toString();
        const listening = /Server listening at (http:\/\/[\d.]+:\d+)/.exec(output)?.[1];
        if (listening !== undefined) resolve(listening);
      });
    });
    const tokens = [...output.matchAll(/qw_[\w-]+/g)].map(([token]) => token);
    const status = await asked(address, tokens).finally(() => child.kill('SIGTERM'));
    await ended;
    return { tokens, status };
  }

  /** Facts are stored as core's own document. */
  function storedFacts(facts: unknown): Omit<Boat, 'id' | 'name'> {
    return facts as Omit<Boat, 'id' | 'name'>;
  }

  function open(): Promise<Database> {
    const { DATABASE_URL, DATA_DIR } = environment;
    return openDatabase({ databaseUrl: DATABASE_URL ?? null, databasePoolSize: 4, dataDir: DATA_DIR ?? '' });
  }

  async function countRows(): Promise<Record<string, number>> {
    const counts: Record<string, number> = {};
    for (const table of tables) {
      const { rows } = await db.pool.query<{ count: number }>(`SELECT count(*)::int AS count FROM ${table}`);
      counts[table] = rows[0]?.count ?? 0;
    }
    return counts;
  }
});
