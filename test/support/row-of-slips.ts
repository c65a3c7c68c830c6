import type { Equipment, GroundFault, Inventory, Outlet } from '../../core/inventory/inventory.ts';
import type { Source } from '../../core/standards/source.ts';
import { boatFactsSchema, factsFromApi } from '../../server/boats/schema.ts';
import type { Database } from '../../server/db/client.ts';
import { marinaTransaction } from '../../server/db/marina-transaction.ts';
import { plainJson } from '../../server/db/plain-json.ts';
import type { Role } from '../../server/http/access.ts';
import { saveInventory } from '../../server/inventory/save.ts';
import { createMarina } from '../../server/marinas/create-marina.ts';
import { sampleInventory } from './sample-inventory.ts';

const invented: Source = { title: 'invented for the tests', fromMemory: false };
const fitted30: GroundFault = { device: 'fitted', settingMa: 30, delayMs: 0 };
const noDevice: GroundFault = { device: 'none', settingMa: null, delayMs: null };

export interface RowOfSlips {
  readonly slips: number;
  /** Of every outlet: `L5-30` on line 1, or `SS2-50` on both. */
  readonly configurationId?: 'L5-30' | 'SS2-50';
  /** Breaker of the one feeder, A. */
  readonly feederA?: number;
  /** Step-down adapters (50 A to 30 A) of the dock. */
  readonly stepDowns?: number;
}

/**
 * An invented marina of one dock: slips `S1`, `S2`, ... and beside them a 60 m face `F`. Slip n reaches outlet `O<n>`
 * alone, the face reaches every one; all hang on one feeder. Nothing in it gives a reason to refuse a small boat.
 */
export function rowOfSlips({
  slips,
  configurationId = 'L5-30',
  feederA = 4_000,
  stepDowns = 0,
}: RowOfSlips): Inventory {
  const sample = sampleInventory();
  const numbers = Array.from({ length: slips }, (_, i) => i + 1);
  const outletOf = (n: number): Outlet => ({
    id: `O${n}`,
    label: 'A',
    pedestalId: `P${n}`,
    fedById: null,
    configurationId,
    lines: configurationId === 'L5-30' ? ['L1'] : ['L1', 'L2'],
    breakerA: configurationId === 'L5-30' ? 30 : 50,
    groundFault: fitted30,
    dedicatedBerthId: null,
    subMetered: false,
    heightM: 0.9,
  });
  const space = {
    mooring: 'fingerPier',
    fingerOn: null,
    beamM: 5,
    depthM: 4,
    orientations: ['bowIn', 'sternIn'],
  } as const;
  return {
    ...sample,
    name: 'Row of Slips',
    practices: [],
    docks: [{ id: 'dock', label: 'D', kind: 'floating', lengthM: 4 * slips }],
    equipment: [
      part('service', 'service', null, 8_000, { systemId: '480Y/277', earthing: 'groundedNeutral' }),
      part('transformer', 'transformer', 'service', null, {
        systemId: '120/240-split-phase',
        transformer: { ratedKva: 2_000, connection: 'centreTapped', percentR: 1.2, percentX: 2.5 },
        earthing: 'groundedNeutral',
      }),
      part('feeder', 'feeder', 'transformer', feederA, {}),
    ],
    pedestals: numbers.map((n) => ({ id: `P${n}`, label: `P${n}`, dockId: 'dock', fedById: 'feeder', alongDockM: n })),
    outlets: numbers.map(outletOf),
    spaceUnits: [
      ...numbers.map(
        (n) => ({ id: `S${n}`, label: `S${n}`, dockId: 'dock', kind: 'slip', faceLengthM: null }) as const,
      ),
      { id: 'F', label: 'F', dockId: 'dock', kind: 'face', faceLengthM: 60 },
    ],
    berths: [
      ...numbers.map((n) => ({
        ...space,
        id: `S${n}`,
        label: `S${n}`,
        unitIds: [`S${n}`],
        faceFromM: null,
        faceUntilM: null,
        lengthM: 14,
        reaches: [{ outletId: `O${n}`, alongM: 0.5, acrossM: 1, detourM: 0 }],
      })),
      {
        ...space,
        id: 'F',
        label: 'F',
        unitIds: ['F'],
        mooring: 'alongside',
        faceFromM: 0,
        faceUntilM: 60,
        lengthM: 60,
        reaches: numbers.map((n) => ({ outletId: `O${n}`, alongM: 30, acrossM: 1, detourM: 0 })),
      },
    ],
    adapterStock:
      stepDowns === 0
        ? []
        : [{ id: 'stock', label: 'Step-down 50 to 30', adapterKindId: 'own-step-down', quantity: stepDowns }],
  };
}

function part(
  id: string,
  kind: Equipment['kind'],
  parentId: string | null,
  breakerA: number | null,
  given: Partial<Equipment>,
): Equipment {
  return {
    id,
    label: id,
    kind,
    parentId,
    systemId: null,
    lines: null,
    breakerA,
    conductorAmpacityA: null,
    neutralAmpacityA: null,
    busA: null,
    conductor: null,
    transformer: null,
    groundFault: noDevice,
    otherLoads: [],
    earthing: null,
    ...given,
  };
}

/** A hook-up through the dock's step-down adapter, from the outlet of slip n. */
export function stepDownFrom(n: number) {
  return {
    adapters: [{ ref: 'A', kindId: 'own-step-down', from: 'stock', stockId: 'stock' }],
    joints: [
      { from: { kind: 'outlet', outletId: `O${n}` }, to: { kind: 'plug', adapter: 'A', fitting: 'P1' } },
      {
        from: { kind: 'connector', adapter: 'A', fitting: 'C1' },
        to: { kind: 'inlet', inletId: 'I1', configurationId: 'L5-30' },
      },
    ],
  };
}

const arrival = new Date('2031-06-10T20:00:00Z');
const departure = new Date('2031-06-12T15:00:00Z');

/** A small boat of which every fact is known, with one 30 A inlet. */
function smallBoat(now: number) {
  const known = <T>(value: T) => ({ value, origin: 'dockhand' }) as const;
  const facts = boatFactsSchema.parse({
    lengthOverallM: known(9),
    beamM: known(3),
    hull: known('monohull'),
    draftM: known(1.2),
    wantsPower: known(true),
    airConditioning: known(false),
    frequenciesHz: known([60]),
    neutralBond: known('none'),
    ownSupplies: known([]),
    inlets: [
      {
        id: 'I1',
        configurationIds: known(['L5-30']),
        mainBreakerA: known(30),
        fromBowM: known(4.5),
        side: known('port'),
        duty: known('house'),
        needsLineToLine: known(false),
      },
    ],
    cordSets: known([{ id: 'C1', lengthM: 30, configurationId: 'L5-30', ratedA: 30 }]),
    adapterKindIds: known([]),
    appliances: known([]),
    statedLoadVa: known(2_000),
  });
  return factsFromApi(facts, now);
}

/** Creates the marina with so many stays, `stay-1`, ..., all of the same days; returns its harbormaster's token. */
export async function createRaceMarina(db: Database, id: string, inventory: Inventory, stays: number): Promise<string> {
  const now = Date.now();
  const role: Role = 'harbormaster';
  const tokens = await createMarina(db, { id, name: id, timeZone: 'America/Chicago', roles: [role] }, now);
  const none: Inventory = { ...inventory, ...noParts };
  const options = { marinaId: id, actor: 'test', kind: 'test.prepared', now };
  await marinaTransaction(db, options, async ({ tx, recordChange, bumpInventoryRevision }) => {
    await saveInventory(tx, id, none, inventory);
    await bumpInventoryRevision();
    const numbers = Array.from({ length: stays }, (_, i) => i + 1);
    const facts = plainJson(smallBoat(now));
    await tx.boat.createMany({
      data: numbers.map((n) => ({ marinaId: id, id: `boat-${n}`, name: `Boat ${n}`, facts })),
    });
    await tx.stay.createMany({
      data: numbers.map((n) => ({
        marinaId: id,
        id: `stay-${n}`,
        boatId: `boat-${n}`,
        contactName: `Skipper ${n}`,
        arrivalAt: arrival,
        departureAt: departure,
        state: 'requested',
        wishes: {},
      })),
    });
    await recordChange(null, { source: invented.title });
  });
  return tokens[0]?.token ?? '';
}

const noParts = {
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
