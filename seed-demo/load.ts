import type { Boat } from '../core/boats.ts';
import { readInventoryDocument } from '../core/inventory/expand-patterns.ts';
import { type InventoryIndex, indexInventory } from '../core/inventory/index-inventory.ts';
import type { Inventory } from '../core/inventory/inventory.ts';
import { practiceOf } from '../server/berth-options/question.ts';
import type { Database } from '../server/db/client.ts';
import { type MarinaWrite, marinaTransaction } from '../server/db/marina-transaction.ts';
import { plainJson } from '../server/db/plain-json.ts';
import { loadInventory } from '../server/inventory/load.ts';
import { saveInventory } from '../server/inventory/save.ts';
import { createMarina } from '../server/marinas/create-marina.ts';
import { rewriteDerivedUses } from '../server/occupancy/derived-uses.ts';
import {
  absenceColumns,
  assignmentColumns,
  boatColumns,
  bulkInsert,
  holdingColumns,
  outletUseColumns,
  spaceUseColumns,
  stayColumns,
  stockUseColumns,
} from './bulk-insert.ts';
import { localDay } from './days.ts';
import { type Demo, generateDemo } from './generate.ts';
import { judgeTurnedAway } from './judge-turned-away.ts';
import { type Placement, placeStays } from './place-stays.ts';
import {
  absenceRows,
  assignmentRows,
  boatRow,
  holdingRow,
  placedStayRow,
  turnedAwayRow,
  unplacedStayRow,
} from './rows.ts';
import { demoStudyChanges, demoStudySettings, demoTariff } from './study.ts';

export const demoMarinaId = 'demo';
const seed = 1905;
const timeZone = 'America/New_York';
const staysAtOnce = 500;

/**
 * Loads the demo marina where it is not there. Each step is one marina transaction that leaves its kind in the change
 * table: a load that was cut off goes on with the steps that are missing, and a finished one is left alone. The day of
 * the demo is the one on which its marina was created. Returns whether anything was loaded.
 */
export async function loadDemo(db: Database, now: number, say: (line: string) => void): Promise<boolean> {
  const known = await db.prisma.marina.findUnique({ where: { id: demoMarinaId } });
  if (known === null) {
    say('Creating the invented marina "Ostrel Haven" ...');
    await createMarina(db, { id: demoMarinaId, name: 'Ostrel Haven', timeZone, roles: [] }, now);
  }
  const createdAt = known?.createdAt.getTime() ?? now;
  const done = new Set(
    (await db.prisma.change.findMany({ where: { marinaId: demoMarinaId, actor }, select: { kind: true } })).map(
      ({ kind }) => kind,
    ),
  );
  if (done.has(lastStep)) return false;
  const demo = generateDemo({ today: localDay(createdAt, timeZone), seed });
  const step = async (kind: string, work: (write: MarinaWrite) => Promise<object>) => {
    if (done.has(kind)) return;
    await marinaTransaction(db, { marinaId: demoMarinaId, actor, kind, now: createdAt }, async (write) => {
      await write.recordChange(null, await work(write));
    });
  };
  await step('demo.inventoryLoaded', (write) => loadMarina(write, demo, say));
  await step('demo.holdersLoaded', (write) => loadHolders(write, demo, say));
  await loadStays(db, demo, createdAt, step, say);
  return true;
}

const actor = 'demo';
const lastStep = 'demo.loaded';

async function loadMarina(write: MarinaWrite, { inventory }: Demo, say: (line: string) => void): Promise<object> {
  const { inventory: after, faults } = readInventoryDocument(inventory);
  if (faults[0] !== undefined) throw new Error(`the demo marina is faulty: ${faults[0].message}`);
  const before = (await loadInventory(write.tx, demoMarinaId))?.inventory;
  if (before === undefined) throw new Error('the demo marina was not created');
  await saveInventory(write.tx, demoMarinaId, before, after);
  await write.bumpInventoryRevision();
  const counts = countsOf(after);
  say(`${counts.docks} docks, ${counts.berths} berths and ${counts.outlets} outlets entered.`);
  return counts;
}

function countsOf({ docks, berths, outlets }: Inventory) {
  return { docks: docks.length, berths: berths.length, outlets: outlets.length };
}

async function loadHolders({ tx }: MarinaWrite, { holdings }: Demo, say: (line: string) => void): Promise<object> {
  const insert = bulkInsert.bind(null, tx, demoMarinaId);
  const boats = holdings.map(({ boat, from }) => boatRow(boat, from));
  await insert('boat', boatColumns, boats);
  await insert('holding', holdingColumns, holdings.map(holdingRow));
  await insert('absence', absenceColumns, holdings.flatMap(absenceRows));
  await rewriteDerivedUses(tx, demoMarinaId, {
    unitIds: holdings.map(({ berthId }) => berthId),
    outletIds: holdings.flatMap(({ outlets }) => outlets.map(({ outletId }) => outletId)),
    since: Math.min(...holdings.map(({ from }) => from)),
  });
  const absences = holdings.reduce((sum, holding) => sum + holding.absences.length, 0);
  say(`${holdings.length} berths held by residents, who have released ${absences} absences.`);
  return { holdings: holdings.length, absences };
}

type Step = (kind: string, work: (write: MarinaWrite) => Promise<object>) => Promise<void>;

async function loadStays(
  db: Database,
  demo: Demo,
  now: number,
  step: Step,
  say: (line: string) => void,
): Promise<void> {
  const stored = await loadInventory(db.prisma, demoMarinaId);
  if (stored === null) throw new Error('the demo marina was not created');
  const index = indexInventory(stored.inventory);
  const boats = new Map(demo.boats.map((boat) => [boat.id, boat]));
  say(`Judging berths for ${demo.stays.length} stays of the season ...`);
  const placements = placeSeason(index, demo, boats);
  const placed = placements.filter(({ option }) => option !== null).length;
  say(`${placed} of ${placements.length} stays that wanted a berth have one.`);

  await step('demo.boatsLoaded', async ({ tx }) => {
    const firstCall = new Map<string, number>();
    for (const { boatId, calledAt } of [...demo.stays, ...demo.turnedAway]) {
      firstCall.set(boatId, Math.min(calledAt, firstCall.get(boatId) ?? calledAt));
    }
    const rows = demo.boats.map((boat) => boatRow(boat, firstCall.get(boat.id) ?? now));
    await bulkInsert(tx, demoMarinaId, 'boat', boatColumns, rows);
    return { boats: rows.length };
  });
  for (let i = 0; i < placements.length; i += staysAtOnce) {
    const part = placements.slice(i, i + staysAtOnce);
    await step(`demo.staysLoaded-${i / staysAtOnce + 1}`, (write) =>
      insertPlacements(write, index, stored.revision, part, now),
    );
    say(`${Math.min(i + staysAtOnce, placements.length)} stays entered.`);
  }
  await step('demo.studyLoaded', async ({ tx }) => {
    const changes = demoStudyChanges(stored.inventory);
    await tx.tariff.create({ data: { marinaId: demoMarinaId, document: plainJson(demoTariff) } });
    await tx.upgradeStudy.create({
      data: {
        marinaId: demoMarinaId,
        createdAt: new Date(now),
        id: 'dock-a',
        name: 'More current on dock A',
        base: plainJson(stored.inventory),
        baseRevision: stored.revision,
        changes: plainJson(changes),
        settings: plainJson(demoStudySettings),
      },
    });
    return { changes: changes.length };
  });
  await step(lastStep, async ({ tx }) => {
    const open = demo.stays.filter(({ course }) => course !== 'place').map(unplacedStayRow);
    const judge = judgeTurnedAway(index, practiceOf(index), demo.holdings, placements);
    const refused = demo.turnedAway.map((call) => turnedAwayRow(call, judge(call, boats.get(call.boatId))));
    await bulkInsert(tx, demoMarinaId, 'stay', stayColumns, [...open, ...refused]);
    return { open: open.length, turnedAway: demo.turnedAway.length };
  });
  say(`${demo.stays.length} stays and ${demo.turnedAway.length} calls turned away are in the book.`);
}

/** Today's arrivals first, since they were written to show each kind of answer; then the season in its order. */
function placeSeason(index: InventoryIndex, demo: Demo, boats: ReadonlyMap<string, Boat>): Placement[] {
  const practice = practiceOf(index);
  const wanted = demo.stays.filter(({ course }) => course === 'place');
  const chosen = wanted.filter(({ preferredBerthIds }) => preferredBerthIds.length > 0);
  const others = wanted.filter(({ preferredBerthIds }) => preferredBerthIds.length === 0);
  return placeStays(index, practice, demo.holdings, boats, [...chosen, ...others]);
}

async function insertPlacements(
  { tx }: MarinaWrite,
  index: InventoryIndex,
  inventoryRevision: number,
  placements: readonly Placement[],
  now: number,
): Promise<object> {
  const insert = bulkInsert.bind(null, tx, demoMarinaId);
  const rows = placements.map((placement) => assignmentRows(index, inventoryRevision, placement));
  const stays = placements.map((placement) => placedStayRow(placement, now, index.inventory.timeZone));
  await insert('stay', stayColumns, stays);
  await insert(
    'assignment',
    assignmentColumns,
    rows.flatMap(({ assignment }) => assignment),
  );
  await insert(
    'space_use',
    spaceUseColumns,
    rows.flatMap(({ spaces }) => spaces),
  );
  await insert(
    'outlet_use',
    outletUseColumns,
    rows.flatMap(({ outlets }) => outlets),
  );
  await insert(
    'stock_use',
    stockUseColumns,
    rows.flatMap(({ stock }) => stock),
  );
  return { stays: stays.length };
}
