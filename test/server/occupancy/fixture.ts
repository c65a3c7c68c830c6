import type { Inventory } from '../../../core/inventory/inventory.ts';
import { boatFactsSchema, factsFromApi } from '../../../server/boats/schema.ts';
import { marinaTransaction } from '../../../server/db/marina-transaction.ts';
import { plainJson } from '../../../server/db/plain-json.ts';
import { saveInventory } from '../../../server/inventory/save.ts';
import { rewriteDerivedUses } from '../../../server/occupancy/derived-uses.ts';
import { sampleInventory } from '../../support/sample-inventory.ts';
import { startTestServer, type TestServer } from '../../support/server.ts';

const marinaId = 'north';
const lists = {
  practices: [],
  adapterKinds: [],
  docks: [],
  equipment: [],
  pedestals: [],
  outlets: [],
  spaceUnits: [],
  berths: [],
  adapterStock: [],
};

/** The test server with a marina on its docks: the sample, or another one. */
export async function startMarina(inventory = sampleInventory()): Promise<TestServer> {
  const server = await startTestServer();
  const empty: Inventory = { ...inventory, ...lists };
  const options = { marinaId, actor: 'test', kind: 'inventory.replaced', now: server.clock.now };
  await marinaTransaction(server.db, options, async ({ tx, recordChange, bumpInventoryRevision }) => {
    await saveInventory(tx, marinaId, empty, inventory);
    await bumpInventoryRevision();
    await recordChange(null, {});
  });
  return server;
}

/** `hour` hours after the test clock's start, as the API writes it. */
export function hours(hour: number): string {
  return new Date(Date.UTC(2030, 5, 10, 12) + hour * 3_600_000).toISOString();
}

interface Transient {
  readonly id: string;
  readonly berthId: string;
  readonly unitIds?: readonly string[];
  readonly metres?: readonly [number, number];
  /** Hours after the start of the test clock. */
  readonly from: number;
  readonly until: number;
  readonly outletIds?: readonly string[];
  readonly state?: string;
}

/** A stay with an assignment as if it had been judged: `stay-<id>` of boat `boat-<id>`, named by its id. */
export async function placeTransient(server: TestServer, transient: Transient): Promise<void> {
  const { id, berthId, metres, from, until, outletIds = [], state = 'promised' } = transient;
  const unitIds = transient.unitIds ?? [berthId];
  const [fromM, untilM] = metres ?? [0, 1];
  const fromAt = new Date(hours(from));
  const untilAt = new Date(hours(until));
  const occupiedUntil = new Date(hours(until + 1));
  const assignmentId = `assignment-${id}`;
  const options = { marinaId, actor: 'test', kind: 'test.placed', now: server.clock.now };
  await marinaTransaction(server.db, options, async ({ tx, recordChange }) => {
    const facts = plainJson(factsFromApi(boatFactsSchema.parse({}), server.clock.now));
    await tx.boat.create({ data: { marinaId, id: `boat-${id}`, name: id, facts } });
    await tx.stay.create({
      data: {
        marinaId,
        id: `stay-${id}`,
        boatId: `boat-${id}`,
        contactName: `Skipper of ${id}`,
        contactPhone: '+1 555 0100',
        arrivalAt: fromAt,
        departureAt: untilAt,
        state,
        wishes: {},
      },
    });
    await tx.assignment.create({
      data: {
        marinaId,
        id: assignmentId,
        stayId: `stay-${id}`,
        berthId,
        faceFromM: metres === undefined ? null : fromM,
        faceUntilM: metres === undefined ? null : untilM,
        orientation: 'bowIn',
        fromAt,
        untilAt,
        occupiedUntil,
        findings: [],
        verdict: 'clear',
        overrides: [],
        rulesEdition: 'test',
        inventoryRevision: 1,
      },
    });
    await tx.spaceUse.createMany({
      data: unitIds.map((unitId) => ({
        marinaId,
        unitId,
        fromM,
        untilM,
        fromAt,
        untilAt: occupiedUntil,
        assignmentId,
      })),
    });
    await tx.outletUse.createMany({
      data: outletIds.map((outletId) => ({ marinaId, outletId, fromAt, untilAt: occupiedUntil, assignmentId })),
    });
    await rewriteDerivedUses(tx, marinaId, { unitIds, outletIds, since: fromAt.getTime() });
    await recordChange(null, { id });
  });
}

/** Who has a unit, in order of time: `holder 0-5` in hours after the start; an open end is `-`. */
export async function usesOfUnit(server: TestServer, unitId: string): Promise<string[]> {
  const reply = await server.call('viewer', 'GET', `/occupancy?from=${hours(-24)}&until=${hours(24 * 30)}`);
  const spaces: Line[] = reply.body.spaces;
  return spaces
    .filter((space) => space.unitId === unitId)
    .sort(byTime)
    .map(lineOf);
}

export async function usesOfOutlet(server: TestServer, outletId: string): Promise<string[]> {
  const reply = await server.call('viewer', 'GET', `/occupancy?from=${hours(-24)}&until=${hours(24 * 30)}`);
  const outlets: Line[] = reply.body.outlets;
  return outlets
    .filter((outlet) => outlet.outletId === outletId)
    .sort(byTime)
    .map(lineOf);
}

interface Line {
  readonly unitId?: string;
  readonly outletId?: string;
  readonly fromM?: number | null;
  readonly untilM?: number | null;
  readonly from: string;
  readonly until: string | null;
  readonly by: { readonly label: string };
}

const byTime = (a: Line, b: Line) => a.from.localeCompare(b.from) || (a.fromM ?? 0) - (b.fromM ?? 0);

function lineOf({ from, until, fromM, untilM, by }: Line): string {
  const metres = fromM === null || fromM === undefined ? '' : ` ${fromM}..${untilM} m`;
  return `${by.label} ${hourOf(from)}-${until === null ? '' : hourOf(until)}${metres}`;
}

function hourOf(instant: string): number {
  return (Date.parse(instant) - Date.UTC(2030, 5, 10, 12)) / 3_600_000;
}
