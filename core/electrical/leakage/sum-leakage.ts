import { gravestFirst, type Subject } from '../../findings.ts';
import type {
  BoatLeakage,
  DeviceLeakage,
  Leakage,
  LeakageBudget,
  LeakageInput,
  LeakagePlace,
  LeakageReading,
  LeakageTrip,
} from './leakage.ts';
import { boatFindings, deviceFindings, outletFindings } from './leakage-findings.ts';
import { togetherMs, tripShare, unreadBoatMa } from './limits.ts';

/**
 * The sum of readings under every ground-fault device against its setting, who contributes, and trips by device and by
 * boat. One pass over readings and their ways up.
 * @throws RangeError when a reading or a trip names no place, or the places form a circle.
 */
export function sumLeakage(input: LeakageInput): Leakage {
  const { devices, boatsBelow } = leakageBelow(input);
  const boats = boatsOf(input);
  const used = input.places.filter(
    ({ id, device, subject }) => device === 'none' && subject.kind === 'outlet' && boatsBelow(id) > 0,
  );
  const findings = [
    ...boats.flatMap(boatFindings),
    ...devices.flatMap(deviceFindings),
    ...used.flatMap(outletFindings),
  ];
  return { devices, boats, findings: gravestFirst(findings) };
}

/** The same in figures alone. */
export function leakageBelow(input: LeakageInput) {
  const ways = waysUp(input.places);
  const below = new Map<string, LeakageReading[]>(input.places.map(({ id }) => [id, []]));
  for (const reading of input.readings)
    for (const place of ways.of(reading.placeId)) below.get(place.id)?.push(reading);
  const tripsBelow = new Map<string, LeakageTrip[]>();
  for (const trip of input.trips)
    for (const { id } of ways.of(trip.placeId)) {
      const known = tripsBelow.get(id);
      if (known === undefined) tripsBelow.set(id, [trip]);
      else known.push(trip);
    }
  const devices = input.places
    .filter(({ device }) => device !== 'none')
    .map((place) => deviceLeakage(place, below.get(place.id) ?? [], tripsBelow.get(place.id) ?? []));
  return { devices, boatsBelow: (placeId: string) => below.get(placeId)?.length ?? 0 };
}

/** What is left for one more boat on each of the places asked for, from the devices of a sum. */
export function budgetsLeft(
  places: readonly LeakagePlace[],
  { devices }: Pick<Leakage, 'devices'>,
  placeIds: readonly string[],
): Map<string, LeakageBudget> {
  const ways = waysUp(places);
  const byPlace = new Map(devices.map((device) => [device.placeId, device]));
  return new Map(placeIds.map((id) => [id, budgetOn(ways.of(id), byPlace)]));
}

function budgetOn(way: readonly LeakagePlace[], byPlace: ReadonlyMap<string, DeviceLeakage>): LeakageBudget {
  let leftMa: number | null = null;
  let tightestPlaceId: string | null = null;
  const unknownPlaceIds: string[] = [];
  for (const { id } of way) {
    const device = byPlace.get(id);
    if (device === undefined) continue;
    if (device.budgetLeftMa === null) unknownPlaceIds.push(id);
    else if (leftMa === null || device.budgetLeftMa < leftMa) {
      leftMa = device.budgetLeftMa;
      tightestPlaceId = id;
    }
  }
  return { leftMa, tightestPlaceId, unknownPlaceIds };
}

interface WaysUp {
  readonly of: (placeId: string) => readonly LeakagePlace[];
}

function waysUp(places: readonly LeakagePlace[]): WaysUp {
  const byId = new Map(places.map((place) => [place.id, place]));
  const known = new Map<string, readonly LeakagePlace[]>();
  const of = (placeId: string): readonly LeakagePlace[] => {
    const found = known.get(placeId);
    if (found !== undefined) return found;
    const way: LeakagePlace[] = [];
    for (let id: string | null = placeId; id !== null; ) {
      const place: LeakagePlace | undefined = byId.get(id);
      if (place === undefined) throw new RangeError(`There is no place "${id}". Name one of the places given.`);
      if (way.length >= byId.size)
        throw new RangeError(`Place "${placeId}" lies in a circle. Correct what is above it.`);
      way.push(place);
      id = place.aboveId;
    }
    known.set(placeId, way);
    return way;
  };
  return { of };
}

/** A reading that counts: finite and not negative. Everything else is as if nobody had read it. */
function readMa({ leakageMa }: LeakageReading): number | null {
  return leakageMa !== null && Number.isFinite(leakageMa) && leakageMa >= 0 ? leakageMa : null;
}

function deviceLeakage(
  place: LeakagePlace,
  readings: readonly LeakageReading[],
  trips: readonly LeakageTrip[],
): DeviceLeakage {
  const byBoat = new Map<string, { boat: Subject; leakageMa: number; trips: number }>();
  const of = (boat: Subject) => {
    const found = byBoat.get(boat.id) ?? { boat, leakageMa: 0, trips: 0 };
    byBoat.set(boat.id, found);
    return found;
  };
  const unread = new Set<string>();
  let sumMa = 0;
  for (const reading of readings) {
    const leakageMa = readMa(reading);
    if (leakageMa === null) unread.add(reading.boat.id);
    sumMa += leakageMa ?? 0;
    of(reading.boat).leakageMa += leakageMa ?? 0;
  }
  const boats = byBoat.size;
  for (const { boat } of trips) if (boat !== null) of(boat).trips += 1;
  // A setting of 0 is no setting.
  const settingMa =
    place.device === 'fitted' && place.settingMa !== null && place.settingMa > 0 ? place.settingMa : null;
  const noBound = missingBound(readings);
  return {
    placeId: place.id,
    subject: place.subject,
    settingMa,
    sumMa,
    boats,
    unreadBoats: unread.size,
    noBound,
    assessment: assess(sumMa, settingMa, noBound.length === 0),
    budgetLeftMa: settingMa === null ? null : settingMa - sumMa - unreadBoatMa * unread.size,
    contributors: [...byBoat.values()]
      .filter((each) => each.leakageMa > 0 || each.trips > 0)
      .sort((a, b) => b.leakageMa - a.leakageMa || b.trips - a.trips)
      .map((each) => ({ ...each, share: sumMa === 0 ? 0 : each.leakageMa / sumMa })),
    trips: trips.filter(({ placeId }) => placeId === place.id).length,
  };
}

function missingBound(readings: readonly LeakageReading[]): DeviceLeakage['noBound'] {
  const found: DeviceLeakage['noBound'][number][] = [];
  if (readings.some((reading) => readMa(reading) === null)) found.push('notRead');
  if (readings.some(({ loadsOn }) => loadsOn !== true)) found.push('loadsOff');
  let first = Number.POSITIVE_INFINITY;
  let last = Number.NEGATIVE_INFINITY;
  for (const { takenAt } of readings) {
    first = Math.min(first, takenAt ?? Number.NEGATIVE_INFINITY);
    last = Math.max(last, takenAt ?? Number.POSITIVE_INFINITY);
  }
  if (readings.length > 1 && !(last - first <= togetherMs)) found.push('notTogether');
  return found;
}

function assess(sumMa: number, settingMa: number | null, isBound: boolean): DeviceLeakage['assessment'] {
  if (settingMa === null) return 'notAssessed';
  if (sumMa >= settingMa) return 'over';
  if (sumMa > tripShare * settingMa) return 'mayTrip';
  return isBound ? 'within' : 'notAssessed';
}

function boatsOf({ readings, trips }: LeakageInput): BoatLeakage[] {
  const boats = new Map<string, { boat: Subject; leakageMa: number; unreadOutlets: number; trips: number }>();
  const of = (boat: Subject) => {
    const found = boats.get(boat.id) ?? { boat, leakageMa: 0, unreadOutlets: 0, trips: 0 };
    boats.set(boat.id, found);
    return found;
  };
  for (const reading of readings) {
    const leakageMa = readMa(reading);
    if (leakageMa === null) of(reading.boat).unreadOutlets += 1;
    else of(reading.boat).leakageMa += leakageMa;
  }
  for (const { boat } of trips) if (boat !== null) of(boat).trips += 1;
  return [...boats.values()].sort((a, b) => b.leakageMa - a.leakageMa);
}
