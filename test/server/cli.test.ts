import { readFile, rm, stat, writeFile } from 'node:fs/promises';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { backUp } from '../../server/cli/backup.ts';
import { restore } from '../../server/cli/restore.ts';
import { type Database, openDatabase } from '../../server/db/client.ts';
import { saveInventory } from '../../server/inventory/save.ts';
import { createMarina } from '../../server/marinas/create-marina.ts';
import {
  createServerDatabase,
  emptyFolder,
  freshFolder,
  openTestDatabase,
  testServerUrl,
} from '../support/database.ts';
import { sampleInventory } from '../support/sample-inventory.ts';
import { runToEnd } from '../support/service-process.ts';

const cli = 'server/cli/main.ts';
let folder: string;
beforeAll(async () => {
  folder = await emptyFolder();
});
afterAll(() => rm(folder, { recursive: true }));

const now = Date.UTC(2030, 5, 10);

/** A marina with everything in it that a backup could lose. */
async function fill(db: Database): Promise<void> {
  await createMarina(db, { id: 'north', name: 'North "Quay" ½ \\ \t', timeZone: 'UTC', roles: ['manager'] }, now);
  const inventory = sampleInventory();
  const empty = {
    ...inventory,
    ...{ practices: [], adapterKinds: [], docks: [], equipment: [], pedestals: [], outlets: [] },
    ...{ spaceUnits: [], berths: [], adapterStock: [] },
  };
  const marinaId = 'north';
  const period = { fromAt: new Date(now), untilAt: new Date(now + 1) };
  const unitId = inventory.spaceUnits[0]?.id ?? '';
  await db.prisma.$transaction(async (tx) => {
    await saveInventory(tx, marinaId, empty, inventory);
    await tx.outOfService.create({ data: { marinaId, id: 'o', unitId, reason: 'Piling\nbroken', ...period } });
    await tx.spaceUse.create({
      data: { marinaId, unitId, fromM: 0.1 + 0.2, untilM: 1e-7 + 1, outOfServiceId: 'o', ...period },
    });
  });
}

/** Every row of every table that matters here, as text. */
async function contents(db: Database): Promise<string[]> {
  const tables = await db.pool.query<{ name: string }>(
    "SELECT table_name AS name FROM information_schema.tables WHERE table_schema = 'public' ORDER BY 1",
  );
  const rows: string[] = [];
  for (const { name } of tables.rows.filter((table) => table.name !== '_prisma_migrations')) {
    const found = await db.pool.query<{ row: string }>(`SELECT row_to_json(t)::text AS row FROM ${name} t ORDER BY 1`);
    rows.push(...found.rows.map(({ row }) => `${name} ${row}`));
  }
  return rows;
}

async function openEmbeddedDatabase() {
  const place = await freshFolder();
  const db = await openDatabase({ databaseUrl: null, databasePoolSize: 1, dataDir: place.folder });
  return { db, close: () => db.close().then(place.remove) };
}

describe('a backup', () => {
  let source: Awaited<ReturnType<typeof openTestDatabase>>;
  let target: { db: Database; close: () => Promise<unknown> };
  const path = () => join(folder, 'marina.backup');
  beforeAll(async () => {
    source = await openTestDatabase();
    // With a server, from the server to the embedded database; without one, between two embedded ones.
    target = await openEmbeddedDatabase();
    await fill(source.db);
  });
  afterAll(async () => {
    await source.close();
    await target.close();
  });

  test('restores every row as it was, and numbers go on after it', async () => {
    const rows = await backUp(source.db, path(), now);
    expect((await stat(path())).mode & 0o777).toBe(0o600);
    expect(await restore(target.db, path())).toBe(rows);
    const before = await contents(source.db);
    expect(before.length).toBe(rows);
    expect(await contents(target.db)).toEqual(before);
    const { rows: added } = await target.db.pool.query<{ id: string }>(
      `INSERT INTO space_use (marina_id, unit_id, from_m, until_m, from_at, until_at, out_of_service_id)
       SELECT marina_id, unit_id, from_m, until_m, until_at, until_at + interval '1 hour', out_of_service_id
         FROM space_use RETURNING id`,
    );
    expect(added).toEqual([{ id: '2' }]);
  });

  test('is restored into an empty database only, and never written over', async () => {
    await expect(restore(target.db, path())).rejects.toThrow(/^The database is not empty/);
    await expect(backUp(source.db, path(), now)).rejects.toThrow(/exists already/);
    await expect(backUp(source.db, join(folder, 'none/x'), now)).rejects.toThrow(/cannot be written \(ENOENT\)/);
  });

  test('that is damaged, cut short, of another version or missing restores nothing', async () => {
    const fresh = await openEmbeddedDatabase();
    const lines = (await readFile(path(), 'utf8')).split('\n');
    const damaged: readonly [text: string, message: RegExp][] = [
      [lines.slice(0, -2).join('\n'), /damaged at line \d+: it was cut short/],
      [[...lines.slice(0, 3), ...lines.slice(4)].join('\n'), /it should hold \d+ rows/],
      [lines.join('\n').replace('"row":{', '"row":['), /damaged at line 2: it is no row/],
      [lines.join('\n').replace('"table":"marina"', '"table":"harbor"'), /there is no table "harbor"/],
      [lines.join('\n').replace('"table":"marina"', '"table":"token"'), /damaged: a row contradicts the rules/],
      [
        lines.join('\n').replace(/"migrations":\["/, '"migrations":["2099_next","'),
        /another version \(migration "2099_next"\)/,
      ],
      ['hello', /is no backup of this service/],
    ];
    for (const [text, message] of damaged) {
      const file = join(folder, 'damaged.backup');
      await writeFile(file, text);
      await expect(restore(fresh.db, file)).rejects.toThrow(message);
    }
    await expect(restore(fresh.db, join(folder, 'missing'))).rejects.toThrow(/cannot be read \(ENOENT\)/);
    expect(await contents(fresh.db)).toEqual([]);
    await fresh.close();
  });
});

describe('the command line', () => {
  test('creates a marina, prints its tokens, and says what is wrong in one line', async () => {
    const place = testServerUrl === null ? await freshFolder() : await createServerDatabase(testServerUrl);
    const marina = ['create-marina', '--id', 'north', '--name', 'North Quay', '--time-zone'];
    const created = await runToEnd([cli, ...marina, 'America/Chicago', '--roles', 'manager,viewer'], place.environment);
    expect(created.output).toMatch(
      /^Marina "North Quay": \/v1\/marinas\/north\nmanager: qw_[\w-]{43}\nviewer: qw_[\w-]{43}\nThe tokens are shown only now/,
    );
    expect(created.code).toBe(0);
    const twice = await runToEnd([cli, ...marina, 'America/Chicago'], place.environment);
    expect(twice).toMatchObject({ code: 2, output: 'There is a marina "north" already. Choose another id.\n' });
    await place.remove();
  });

  test.each([
    [['sail'], '"sail" is no command. Use create-marina, create-user, backup, restore or help.\n'],
    [['backup'], 'backup takes one file name. See help.\n'],
    [['create-marina', '--id', 'a b'], '--id: "a b" is not usable. Use letters, digits and . _ : ~ - only.\n'],
    [['create-marina', '--id', 'a'], '--name is missing. See help.\n'],
    [['create-marina', '--color', 'a'], /^Unknown option '--color'.* See help\.\n$/],
  ])('%o', async (args, line) => {
    const ending = await runToEnd([cli, ...args], {});
    expect(ending.code).toBe(2);
    if (typeof line === 'string') expect(ending.output).toBe(line);
    else expect(ending.output).toMatch(line);
  });
});
