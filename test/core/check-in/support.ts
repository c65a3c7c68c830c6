import type { Boat } from '../../../core/boats.ts';
import type { CheckInEntry, CheckInFacts } from '../../../core/check-in/check-in.ts';
import { pointsToLookAt } from '../../../core/check-in/fitting-points.ts';
import { type Reading, readingsToTake, usualMandatoryReadings } from '../../../core/check-in/readings.ts';
import type { SupplyOutlet } from '../../../core/electrical/hook-up/supply-outlet.ts';
import { boat, cord, fact, inlet, kindsById, outlet } from '../electrical/hook-up/support.ts';

/** A boat of which everything is told, with one inlet and its cord. */
export function wholeBoat(configurationId: string, ratedA: number, given: Partial<Boat> = {}): Boat {
  return {
    lengthOverallM: fact(11),
    beamM: fact(3.5),
    hull: fact('monohull'),
    draftM: fact(1.2),
    airConditioning: fact(false),
    appliances: null,
    statedLoadVa: null,
    ...boat([inlet('I1', configurationId, { mainBreakerA: fact(ratedA), needsLineToLine: fact(false) })]),
    cordSets: fact([cord(configurationId, ratedA)]),
    ...given,
  };
}

export const notLooked = { neutralBond: null, ownSupplies: null } as const;

export const thirtyAmpere = outlet('7a', 'L5-30', ['L1']);
export const fiftyAmpere = outlet('7b', 'SS2-50', ['L1', 'L2']);

export function factsFor(theBoat: Boat, outlets: readonly SupplyOutlet[], given: Partial<CheckInFacts> = {}) {
  return {
    boat: theBoat,
    outlets,
    adapterKinds: kindsById,
    refuseCordBelowBreaker: false,
    mandatory: usualMandatoryReadings,
    keptOutletIds: outlets.map(({ id }) => id),
    deskFindings: [],
    holdsUntil: 1_000,
    ...given,
  } satisfies CheckInFacts;
}

/** Every reading of an outlet as a sound one shows it: nominal volts, no volts on the neutral, 8 mA, 1 mA. */
export function soundReadings(of: SupplyOutlet): Reading[] {
  return readingsToTake(of).map(({ outletId, name, contact, nominal }) => ({
    outletId,
    name,
    contact,
    value: nominal ?? { neutralToGroundV: 0.3, leakageMa: 8, leakageWithGroundMa: 1 }[name as string] ?? null,
    notMeasuredBecause: null,
  }));
}

export function soundEntry(outlets: readonly SupplyOutlet[], given: Partial<CheckInEntry> = {}): CheckInEntry {
  return {
    at: 500,
    outletIds: outlets.map(({ id }) => id),
    adapters: [],
    boat: { inlets: [], cordSets: null, adapterKindIds: null, frequenciesHz: null, wantsPower: null, ...notLooked },
    outlets: [],
    fittings: pointsToLookAt((given.adapters ?? []).length > 0).map(({ id }) => ({
      pointId: id,
      seen: 'good',
      note: null,
    })),
    readings: outlets.flatMap(soundReadings),
    heldBecause: null,
    ...given,
  };
}

/** The readings with one of them exchanged. */
export function withReading(readings: readonly Reading[], name: Reading['name'], given: Partial<Reading>): Reading[] {
  return readings.map((each) => (each.name === name ? { ...each, ...given } : each));
}
