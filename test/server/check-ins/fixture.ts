import { pointsToLookAt } from '../../../core/check-in/fitting-points.ts';
import { type Reading, readingsToTake } from '../../../core/check-in/readings.ts';
import { supplyOutlet } from '../../../core/electrical/hook-up/supply-outlet.ts';
import { indexInventory } from '../../../core/inventory/index-inventory.ts';
import type { Equipment, Inventory } from '../../../core/inventory/inventory.ts';
import { rowOfSlips } from '../../support/row-of-slips.ts';
import { sampleInventory } from '../../support/sample-inventory.ts';
import type { TestServer } from '../../support/server.ts';
import { hours } from '../occupancy/fixture.ts';

const index = indexInventory(sampleInventory());
const told = <T>(value: T) => ({ value, origin: 'phone' as const });

/** Every reading of an outlet of the sample marina as a sound one shows it, with 8 mA of leakage. */
export function soundReadings(outletId: string): Reading[] {
  const outlet = index.outlets.get(outletId);
  if (outlet === undefined) throw new Error(`the sample has no outlet ${outletId}`);
  return readingsToTake(supplyOutlet(index, outlet)).map(({ name, contact, nominal }) => ({
    outletId,
    name,
    contact,
    value: nominal ?? { neutralToGroundV: 0.3, leakageMa: 8, leakageWithGroundMa: 1 }[name as string] ?? 0,
    notMeasuredBecause: null,
  }));
}

export interface Booked {
  readonly stayId: string;
  readonly boatId: string;
  readonly berthId: string;
}

export interface Booking {
  readonly name: string;
  readonly berthId: string;
  readonly from: number;
  readonly until: number;
  readonly configurationId?: string;
  readonly ratedA?: number;
  readonly facts?: object;
  readonly hookUp?: object;
}

/** A stay on a berth, called in and assigned by the API, of a boat of which everything electrical is told. */
export async function book(server: TestServer, booking: Booking): Promise<Booked> {
  const { name, berthId, from, until, configurationId = 'L5-30', ratedA = 30, facts = {}, hookUp } = booking;
  const call = {
    name: `Skipper of ${name}`,
    phone: '+1 555 0100',
    boatName: name,
    lengthOverallM: 9,
    beamM: 3,
    draftM: 1,
    wantsPower: true,
    airConditioning: false,
    arrival: hours(from),
    departure: hours(until),
  };
  const { status, body } = await server.call('harbormaster', 'POST', '/stays', { body: call });
  if (status !== 201) throw new Error(JSON.stringify(body));
  const boatId: string = body.boat.id;
  const stayId: string = body.stay.id;
  const change = {
    frequenciesHz: told([60]),
    neutralBond: told('none'),
    ownSupplies: told([]),
    cordSets: told([{ id: 'K1', lengthM: 15.24, configurationId, ratedA }]),
    adapterKindIds: told([]),
    inlets: [
      {
        id: 'I1',
        configurationIds: told([configurationId]),
        mainBreakerA: told(ratedA),
        fromBowM: told(4),
        side: told('port'),
        duty: told('house'),
        needsLineToLine: told(false),
      },
    ],
    ...facts,
  };
  const changed = await server.call('harbormaster', 'PATCH', `/boats/${boatId}/facts`, { body: change });
  if (changed.status !== 200) throw new Error(JSON.stringify(changed.body));
  const assigned = await server.call('harbormaster', 'POST', `/stays/${stayId}/assign`, {
    body: { berthId, ...(hookUp === undefined ? {} : { hookUp }) },
  });
  if (assigned.status !== 200) throw new Error(JSON.stringify(assigned.body));
  return { stayId, boatId, berthId };
}

let count = 0;
/** An id as a phone makes it: random enough without a secure context. */
export function eventId(): string {
  count += 1;
  return `phone-1.${count}`;
}

export function checkIn({ stayId, berthId }: Booked, outletId: string, given: object = {}) {
  return {
    kind: 'checkIn',
    at: hours(1),
    stayId,
    berthId,
    outletIds: [outletId],
    adapters: [],
    fittings: pointsToLookAt('adapters' in given).map(({ id }) => ({ pointId: id, seen: 'good' })),
    readings: soundReadings(outletId),
    loadsOn: true,
    heldBecause: null,
    energised: true,
    phoneOutcome: null,
    ...given,
  };
}

/** A dock of slips with 50 A outlets of which everything is stated: nothing but the boat leaves a question open. */
export function statedRow(): Inventory {
  const row = rowOfSlips({ slips: 2, configurationId: 'SS2-50' });
  const equipment = row.equipment.map((part): Equipment => {
    return part.kind === 'transformer' ? { ...part, lines: ['L1', 'L2'] } : part;
  });
  return { ...row, equipment };
}
