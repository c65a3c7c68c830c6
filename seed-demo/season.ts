import { noWishes, type Wishes } from '../core/berths/options/options.ts';
import type { Boat } from '../core/boats.ts';
import type { Period } from '../core/periods.ts';
import { boatOf } from './boat.ts';
import { addDays, localMoment, weekday } from './days.ts';
import { personName, phoneNumber } from './names.ts';
import type { Random } from './random.ts';
import { type Knowledge, visitor } from './visitors.ts';

/** One transient stay as it was asked for; where it lies is judged when the demo is loaded. */
export interface DemoStay extends Period {
  readonly id: string;
  readonly boatId: string;
  readonly contactName: string;
  readonly contactPhone: string;
  readonly wishes: Wishes;
  readonly note: string;
  readonly calledAt: number;
  /** What the harbormaster does with it: gives it a berth, leaves it open, or it never comes. */
  readonly course: 'place' | 'leaveOpen' | 'cancelled' | 'noShow';
  /** Berths to look at first, in this order; the best of all where none of them works. */
  readonly preferredBerthIds: readonly string[];
}

export interface Season {
  readonly boats: readonly Boat[];
  readonly stays: readonly DemoStay[];
}

interface Place {
  readonly timeZone: string;
  readonly today: string;
}

const firstDay = -125;
const lastDay = 45;

/** `count` stays over the season but none that arrives on the day itself: those are written one by one. */
export function season(random: Random, place: Place, count: number, nextName: () => string): Season {
  const days = Array.from({ length: lastDay - firstDay + 1 }, (_, i) => i + firstDay).filter((day) => day !== 0);
  const weights = days.map((day) => [day, weightOf(place.today, day)] as const);
  const [first, ...rest] = weights;
  if (first === undefined) return { boats: [], stays: [] };
  const drawn = Array.from({ length: count }, () => random.weighted([first, ...rest])).sort((a, b) => a - b);

  const boats: Boat[] = [];
  const regulars: { readonly boat: Boat; busyUntil: number; readonly name: string; readonly phone: string }[] = [];
  const stays = drawn.map((day, i): DemoStay => {
    const nights = nightsOf(random);
    const arrivalDay = addDays(place.today, day);
    const from = localMoment(arrivalDay, random.weighted(arrivalHours), place.timeZone, random.pick([0, 0, 30]));
    const until = localMoment(addDays(arrivalDay, nights), random.pick([9, 10, 11, 11]), place.timeZone);
    const calledAt = from - random.whole(1, 30) * 86_400_000 - random.whole(0, 36) * 600_000;
    // One visit in four is that of a boat seen before.
    const known = random.chance(0.25) ? regulars.find(({ busyUntil }) => busyUntil < from) : undefined;
    const guest = known ?? newGuest(boats, random, calledAt, nextName);
    if (known === undefined) regulars.push(guest);
    else regulars.push(...regulars.splice(regulars.indexOf(known), 1));
    guest.busyUntil = until;
    return {
      id: `stay-${String(i + 1).padStart(4, '0')}`,
      boatId: guest.boat.id,
      contactName: guest.name,
      contactPhone: guest.phone,
      from,
      until,
      wishes: wishes(random),
      note: '',
      calledAt,
      course: courseOf(random, day, day + nights),
      preferredBerthIds: [],
    };
  });
  return { boats, stays };
}

function newGuest(boats: Boat[], random: Random, at: number, nextName: () => string) {
  const knowledge = random.weighted<Knowledge>([
    ['call', 35],
    ['sheet', 35],
    ['seen', 30],
  ]);
  const told = {
    ...visitor(random, knowledge),
    id: `visitor-${String(boats.length + 1).padStart(4, '0')}`,
    name: nextName(),
  };
  const origin = ({ call: 'phone', sheet: 'boater', seen: 'dockhand' } as const)[knowledge];
  const boat = boatOf(told, origin, at);
  boats.push(boat);
  return { boat, busyUntil: 0, name: personName(random), phone: phoneNumber(random) };
}

/** Weekends draw twice as many, and the season swells towards the day and ebbs after it. */
function weightOf(today: string, day: number): number {
  const isWeekend = [5, 6].includes(weekday(addDays(today, day)));
  return (isWeekend ? 2 : 1) * (1 + 0.9 * Math.cos(((day + 20) / 150) * Math.PI));
}

const arrivalHours = [
  [12, 10],
  [14, 25],
  [15, 25],
  [16, 20],
  [17, 12],
  [18, 8],
] as const;

function nightsOf(random: Random): number {
  return random.weighted([
    [1, 36],
    [2, 28],
    [3, 14],
    [4, 7],
    [5, 5],
    [7, 6],
    [10, 2],
    [14, 2],
  ]);
}

/** The past is told as it went; of the weeks ahead a part is still open. */
function courseOf(random: Random, arrivesIn: number, departsIn: number): DemoStay['course'] {
  if (arrivesIn > 0) return random.chance(arrivesIn > 21 ? 0.4 : 0.08) ? 'leaveOpen' : 'place';
  if (departsIn >= 0) return 'place';
  return random.weighted([
    ['place', 95],
    ['cancelled', 3.5],
    ['noShow', 1.5],
  ]);
}

function wishes(random: Random): Wishes {
  if (random.chance(0.75)) return noWishes;
  return random.pick<Wishes>([
    { ...noWishes, mooring: 'floating' },
    { ...noWishes, orientation: 'sternIn' },
    { ...noWishes, dockId: random.pick(['A', 'B', 'C', 'D']) },
  ]);
}
