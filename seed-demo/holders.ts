import type { Boat } from '../core/boats.ts';
import type { Period } from '../core/periods.ts';
import { boatOf } from './boat.ts';
import { addDays, localMoment } from './days.ts';
import { guestPedestals } from './marina/inventory-document.ts';
import { personName } from './names.ts';
import type { Random } from './random.ts';

/** A resident's right to a slip, with the outlets its boat is plugged into and the days it has released. */
export interface DemoHolding extends Period {
  readonly id: string;
  readonly berthId: string;
  readonly boat: Boat;
  readonly holderName: string;
  readonly outlets: readonly {
    readonly outletId: string;
    readonly loadVa: number | null;
    readonly loadOrigin: string;
  }[];
  readonly absences: readonly DemoAbsence[];
}

export interface DemoAbsence extends Period {
  readonly id: string;
}

interface Place {
  readonly timeZone: string;
  readonly today: string;
}

/** Slips of holders: every slip at a pedestal before the guests', two at each. */
export function heldBerthIds(): string[] {
  return Object.entries(guestPedestals).flatMap(([dock, [firstGuest]]) =>
    Array.from({ length: 2 * (firstGuest - 1) }, (_, i) => `${dock}${i + 1}`),
  );
}

export function holdings(random: Random, place: Place, nextName: () => string): DemoHolding[] {
  return heldBerthIds().map((berthId, i) => holding(random, place, berthId, i + 1, nextName()));
}

function holding(
  random: Random,
  { timeZone, today }: Place,
  berthId: string,
  number: number,
  name: string,
): DemoHolding {
  const id = `holding-${berthId}`;
  const dock = berthId.slice(0, 1);
  const from = localMoment(addDays(today, -random.whole(150, 1400)), 12, timeZone);
  const plug = dock === 'A' ? '30 A' : dock === 'D' ? '50A 125/250V' : random.chance(0.5) ? '30 A' : '50A 125/250V';
  const lengthOverallM = random.stepped(...(lengthsOf[dock] ?? [7, 10]), 0.1);
  const told = {
    id: `resident-${String(number).padStart(3, '0')}`,
    name,
    lengthOverallM,
    beamM: Math.round((1 + 0.2 * lengthOverallM) * 100) / 100,
    hull: 'monohull' as const,
    draftM: random.stepped(1, 2, 0.1),
    plugAsSaid: plug,
    builtFor60Hz: true,
    neutralBond: 'none' as const,
    ownSupplies: [],
  };
  // Whoever stays away in season takes the cord along.
  const isPlugged = random.chance(0.86);
  return {
    id,
    berthId,
    boat: boatOf(told, 'dockhand', from),
    holderName: personName(random),
    from,
    until: localMoment(addDays(today, random.whole(200, 600)), 12, timeZone),
    outlets: isPlugged ? [{ outletId: residentOutlet(berthId), ...load(random) }] : [],
    absences: absences(random, today, timeZone, id),
  };
}

const lengthsOf: Readonly<Record<string, readonly [least: number, most: number]>> = {
  A: [7, 10.2],
  B: [9.5, 12.3],
  C: [11, 14.5],
  D: [13, 17.5],
};

/** Left slip: outlet A of its pedestal, right slip: outlet B. Dock and pedestal as the patterns number them. */
function residentOutlet(berthId: string): string {
  const slip = Number(berthId.slice(1));
  return `${berthId.slice(0, 1)}${Math.ceil(slip / 2)}${slip % 2 === 1 ? 'A' : 'B'}`;
}

function load(random: Random) {
  return random.weighted<{ loadVa: number | null; loadOrigin: string }>([
    [{ loadVa: random.stepped(300, 2400, 50), loadOrigin: 'measured' }, 55],
    [{ loadVa: random.stepped(500, 3000, 100), loadOrigin: 'stated' }, 20],
    [{ loadVa: null, loadOrigin: 'default' }, 25],
  ]);
}

/** Four holders in ten go cruising once or twice a season and release their slip for that time. */
function absences(random: Random, today: string, timeZone: string, holdingId: string): DemoAbsence[] {
  if (!random.chance(0.4)) return [];
  const found: DemoAbsence[] = [];
  let day = addDays(today, random.whole(-125, -5));
  const count = random.whole(1, 2);
  for (let n = 1; n <= count; n++) {
    const nights = random.whole(5, 28);
    const until = addDays(day, nights);
    found.push({
      id: `${holdingId}-absence-${n}`,
      from: localMoment(day, 10, timeZone),
      until: localMoment(until, 16, timeZone),
    });
    day = addDays(until, random.whole(5, 50));
  }
  return found;
}
