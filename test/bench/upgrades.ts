import { performance } from 'node:perf_hooks';
import { Readable } from 'node:stream';
import { indexInventory } from '../../core/inventory/index-inventory.ts';
import { demandPractice } from '../../core/standards/demand-practices.ts';
import { budgetCurve } from '../../core/upgrades/choice/choose.ts';
import { seededChance } from '../../core/upgrades/random.ts';
import { replaySeason } from '../../core/upgrades/replay/replay.ts';
import { plainJson } from '../../server/db/plain-json.ts';
import { saveInventory } from '../../server/inventory/save.ts';
import { createMarina } from '../../server/marinas/create-marina.ts';
import { importReadings } from '../../server/meters/import-readings.ts';
import { readMeasuredLoad } from '../../server/meters/measured-load.ts';
import { createServices } from '../../server/services.ts';
import { inTurns } from '../../server/studies/in-turns.ts';
import { openTestDatabase } from '../support/database.ts';
import { largeMarina } from '../support/large-marina.ts';
import { replayRequests, seasonFrom } from '../support/replay-season.ts';
import { sampleInventory } from '../support/sample-inventory.ts';
import { type Figures, rounded } from './measure.ts';

const dayMs = 86_400_000;
const seasonStart = Date.UTC(2030, 4, 1);
/** 200 outlets at 15 minutes for 183 days are 3.5 million readings; BENCH_READINGS_DAYS makes it shorter. */
const days = Number(process.env.BENCH_READINGS_DAYS ?? 183);

/** Readings in bulk, and existing load over them. */
export async function readings(): Promise<Figures[]> {
  const database = await openTestDatabase();
  const { db } = database;
  const now = seasonStart + 400 * dayMs;
  const services = createServices({ db, clock: () => now });
  try {
    await createMarina(db, { id: 'bench', name: 'Bench', timeZone: 'America/New_York', roles: ['manager'] }, now);
    const inventory = largeMarina(100);
    await db.prisma.$transaction(
      async (tx) => {
        const lists = [
          'docks',
          'equipment',
          'pedestals',
          'outlets',
          'spaceUnits',
          'berths',
          'adapterStock',
          'practices',
          'adapterKinds',
        ];
        const empty = sampleInventory(Object.fromEntries(lists.map((list) => [list, []])));
        await saveInventory(tx, 'bench', empty, inventory);
        await tx.marina.update({
          where: { id: 'bench' },
          data: { inventoryRevision: 1, settings: plainJson(inventory.settings) },
        });
      },
      { timeout: 120_000 },
    );
    const outlets = inventory.outlets.slice(0, 200);
    await db.prisma.meter.createMany({
      data: outlets.map(({ id }) => ({
        marinaId: 'bench',
        id,
        label: id,
        subjectKind: 'outlet',
        subjectId: id,
        quantity: 'energyKwh',
        intervalMinutes: 15,
        powerFactor: 0.95,
      })),
    });
    const rows = outlets.length * 96 * days;
    const principal = { id: 'bench', marinaId: 'bench', role: 'manager' as const, name: 'bench' };
    const before = process.memoryUsage().rss;
    let most = before;
    const watch = setInterval(() => {
      most = Math.max(most, process.memoryUsage().rss);
    }, 50);
    const start = performance.now();
    const imported = await importReadings(services, {
      principal,
      now,
      type: 'text/csv',
      stream: Readable.from(csv(outlets.map(({ id }) => id))),
    });
    const importS = (performance.now() - start) / 1000;
    clearInterval(watch);
    if (imported.stored !== rows)
      throw new Error(`${imported.stored} of ${rows} readings stored: ${JSON.stringify(imported.errors[0])}`);
    const copyStart = performance.now();
    await db.pool.query('CREATE TABLE copied (LIKE meter_reading INCLUDING ALL)');
    // The floor: the same rows, the same key, made and moved inside the server.
    await db.pool.query('INSERT INTO copied SELECT * FROM meter_reading');
    const copyS = (performance.now() - copyStart) / 1000;
    await db.pool.query('DROP TABLE copied');
    await db.pool.query('ANALYZE meter_reading');
    const asked = {
      from: seasonStart,
      until: seasonStart + days * dayMs,
      intervalMinutes: 15,
      newLoadA: 0,
      largerOfHeatingAndCooling: null,
      occupied: null,
    };
    const taken: number[] = [];
    for (let turn = 0; turn < 4; turn++) {
      const at = performance.now();
      const { parts } = await readMeasuredLoad(services, 'bench', asked);
      if (!parts.some(({ peakVa }) => peakVa !== null)) throw new Error('nothing measured');
      if (turn > 0) taken.push(performance.now() - at);
    }
    taken.sort((a, b) => a - b);
    return [
      {
        name: `import of ${rows} readings`,
        database: db.kind,
        seconds: rounded(importS),
        rowsPerSecond: Math.round(rows / importS),
        timesInServerCopy: rounded(importS / copyS),
        memoryGrownMb: Math.round((most - before) / 1e6),
      },
      {
        name: `existing load of every part over ${rows} readings`,
        database: db.kind,
        medianMs: rounded(taken[1] ?? 0),
      },
    ];
  } finally {
    await database.close();
  }
}

function* csv(meterIds: readonly string[]): Generator<Buffer> {
  const chance = seededChance(1);
  yield Buffer.from('meterId,from,value\n');
  for (let slot = 0; slot < 96 * days; slot++) {
    const from = new Date(seasonStart + slot * 900_000).toISOString();
    let text = '';
    for (const id of meterIds) text += `${id},${from},${Math.round(chance() * 2000) / 1000}\n`;
    yield Buffer.from(text);
  }
}

/** A season's replay. */
export async function replay(): Promise<Figures[]> {
  const practice = demandPractice('nec-555-2020');
  if (practice === null) throw new Error('no practice');
  const index = indexInventory(largeMarina(150));
  const requests = replayRequests(1500, 150, 7);
  const start = performance.now();
  const { served, turnedAway } = replaySeason({
    index,
    practice,
    season: { from: seasonFrom, until: seasonFrom + 180 * dayMs },
    requests,
    spaceUses: [],
    outletUses: [],
    tariff: null,
  });
  const seconds = rounded((performance.now() - start) / 1000);
  return [{ name: 'replay of 1500 stays, 150 berths', seconds, served, turnedAway }];
}

/** The budget curve. */
export async function curve(): Promise<Figures[]> {
  const chance = seededChance(9);
  const candidates = Array.from({ length: 40 }, (_, i) => ({
    id: `c${i}`,
    costMinor: BigInt(1_000_000 + Math.floor(chance() * 20_000_000)),
    requires: i > 4 && chance() < 0.4 ? [`c${Math.floor(chance() * 5)}`] : [],
  }));
  const benefits = Array.from({ length: 80 }, (_, b) => ({
    id: `b${b}`,
    value: 1 + Math.floor(chance() * 100),
    needs: [...new Set(Array.from({ length: 1 + Math.floor(chance() * 3) }, () => `c${Math.floor(chance() * 40)}`))],
  }));
  const start = performance.now();
  const points = await inTurns(budgetCurve({ candidates, benefits }, 20, 20));
  const seconds = rounded((performance.now() - start) / 1000);
  return [{ name: 'budget curve of 40 candidates', seconds, points: points.length }];
}
