import { buildApp } from '../../server/app.ts';
import { plainJson } from '../../server/db/plain-json.ts';
import { saveInventory } from '../../server/inventory/save.ts';
import { createMarina } from '../../server/marinas/create-marina.ts';
import { createServices } from '../../server/services.ts';
import { openTestDatabase } from '../support/database.ts';
import { largeMarina } from '../support/large-marina.ts';
import { sampleInventory } from '../support/sample-inventory.ts';

const day = 86_400_000;

/** Arrival of the stays that are asked about: a Monday. */
export const benchNow = Date.UTC(2030, 5, 3, 12);

export interface BenchMarina {
  readonly address: string;
  readonly token: string;
  readonly url: string;
  readonly database: 'embedded' | 'postgresql';
  readonly pool: Awaited<ReturnType<typeof openTestDatabase>>['db']['pool'];
  close(): Promise<void>;
}

/**
 * A listening service with a large marina: `stayCount` stays of three days on its slips, the last of them over the days
 * asked about, so that about 85 % of the slips are taken then; and `askCount` requests, `ask-0` on, without a berth.
 */
export async function openBenchMarina(berthCount: number, stayCount: number, askCount: number): Promise<BenchMarina> {
  const database = await openTestDatabase();
  const { db } = database;
  const created = await createMarina(
    db,
    { id: 'bench', name: 'Bench', timeZone: 'America/New_York', roles: ['harbormaster'] },
    benchNow,
  );
  const token = created[0]?.token ?? '';
  const inventory = largeMarina(berthCount);
  await db.prisma.$transaction(
    async (tx) => {
      const empty = sampleInventory({
        docks: [],
        equipment: [],
        pedestals: [],
        outlets: [],
        spaceUnits: [],
        berths: [],
        adapterStock: [],
        practices: [],
        adapterKinds: [],
      });
      await saveInventory(tx, 'bench', empty, inventory);
      await tx.marina.update({ where: { id: 'bench' }, data: { inventoryRevision: 1 } });
    },
    { timeout: 120_000 },
  );

  const taken = new Set<string>();
  const slips = inventory.berths
    .filter(({ faceFromM, unitIds }, i) => faceFromM === null && unitIds.length === 1 && (i * 37) % 100 < 85)
    .map(({ id, unitIds, reaches }) => {
      const outletId = reaches.map((reach) => reach.outletId).find((each) => !taken.has(each)) ?? null;
      if (outletId !== null) taken.add(outletId);
      return { berthId: id, unitId: unitIds[0], outletId };
    });
  const rounds = Math.max(1, Math.round(stayCount / slips.length));
  const boat = {
    lengthOverallM: 10.5,
    beamM: 3.4,
    hull: 'monohull',
    draftM: 1.2,
    frequenciesHz: [60],
    neutralBond: 'none',
    ownSupplies: [],
    wantsPower: true,
  };
  const told = (value: unknown) => ({ value, origin: 'phone', at: benchNow });
  const facts = {
    ...Object.fromEntries(Object.entries(boat).map(([name, value]) => [name, told(value)])),
    airConditioning: null,
    inlets: [
      {
        id: 'I1',
        configurationIds: told(['L5-30']),
        mainBreakerA: told(30),
        fromBowM: told(7),
        side: told('starboard'),
        duty: told('house'),
        needsLineToLine: told(false),
      },
    ],
    cordSets: told([{ id: 'C1', lengthM: 15.24, configurationId: 'L5-30', ratedA: 30 }]),
    adapterKindIds: null,
    appliances: null,
    statedLoadVa: null,
  };
  await db.prisma.boat.create({ data: { marinaId: 'bench', id: 'boat', name: 'Bench Boat', facts: plainJson(facts) } });
  const wishes = JSON.stringify({ dockId: null, berthId: null, orientation: null, mooring: null });
  const period = `to_timestamp($3::float8 / 1000) + ((k - $2::int) * interval '3 days')`;
  const rows = `jsonb_to_recordset($1::jsonb) AS s("berthId" text, "unitId" text, "outletId" text), generate_series(1, $2::int) k`;
  const parameters = [JSON.stringify(slips), rounds, benchNow];
  const id = `s."berthId" || '-' || k`;
  const run = (sql: string, ...more: unknown[]) => db.prisma.$executeRawUnsafe(sql, ...parameters, ...more);
  await run(
    `INSERT INTO stay (marina_id, id, boat_id, contact_name, arrival_at, departure_at, state, wishes)
     SELECT 'bench', ${id}, 'boat', 'Somebody', ${period}, ${period} + interval '2 days 22 hours', 'promised', $4::jsonb FROM ${rows}`,
    wishes,
  );
  await run(
    `INSERT INTO assignment (marina_id, id, stay_id, berth_id, orientation, from_at, until_at, occupied_until, findings,
       verdict, overrides, rules_edition, inventory_revision)
     SELECT 'bench', ${id}, ${id}, s."berthId", 'bowIn', ${period}, ${period} + interval '2 days 22 hours',
       ${period} + interval '2 days 23 hours', '[]', 'clear', '[]', 'bench', 1 FROM ${rows}`,
  );
  await run(
    `INSERT INTO space_use (marina_id, unit_id, from_m, until_m, from_at, until_at, assignment_id)
     SELECT 'bench', s."unitId", 0, 1, ${period}, ${period} + interval '2 days 23 hours', ${id} FROM ${rows}`,
  );
  await run(
    `INSERT INTO outlet_use (marina_id, outlet_id, from_at, until_at, assignment_id)
     SELECT 'bench', s."outletId", ${period}, ${period} + interval '2 days 23 hours', ${id} FROM ${rows}
     WHERE s."outletId" IS NOT NULL`,
  );
  await db.prisma.stay.createMany({
    data: Array.from({ length: askCount }, (_, i) => ({
      marinaId: 'bench',
      id: `ask-${i}`,
      boatId: 'boat',
      contactName: 'Somebody',
      arrivalAt: new Date(benchNow + 6 * 3_600_000),
      departureAt: new Date(benchNow + 2 * day),
      state: 'requested',
      wishes: JSON.parse(wishes),
    })),
  });
  await db.prisma.$executeRawUnsafe('ANALYZE');

  const services = createServices({ db, clock: () => benchNow });
  const app = await buildApp(services, { logLevel: 'silent', rateLimitPerMinute: 0, trustProxy: false });
  const address = await app.listen({ port: 0, host: '127.0.0.1' });
  return {
    address,
    token,
    url: `${address}/v1/marinas/bench`,
    database: db.kind,
    pool: db.pool,
    close: async () => {
      await app.close();
      await database.close();
    },
  };
}
