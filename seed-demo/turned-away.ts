import type { Boat } from '../core/boats.ts';
import { boatOf } from './boat.ts';
import { addDays, localMoment } from './days.ts';
import { personName, phoneNumber } from './names.ts';
import type { Random } from './random.ts';
import type { DemoStay } from './season.ts';
import { visitor } from './visitors.ts';

/** A call that ended without a berth; what refused it is judged when the demo is loaded. */
export interface DemoTurnedAway extends Omit<DemoStay, 'course' | 'preferredBerthIds'> {
  /** What the caller said no to, where the rules would have found a berth. */
  readonly otherwise: string;
}

type Odd = (random: Random) => { lengthOverallM?: number; beamM?: number; draftM?: number; plugAsSaid?: string };

/** What makes some of these boats hard to place; the others found the docks full, or wanted something else. */
const oddities: readonly [readonly [Odd, number], ...(readonly [Odd, number])[]] = [
  [() => ({}), 40],
  [(random) => ({ lengthOverallM: random.stepped(24, 38, 0.5), beamM: 7.4, plugAsSaid: '100A 480V' }), 18],
  [(random) => ({ lengthOverallM: random.stepped(16, 22, 0.5), beamM: 5.4, plugAsSaid: '200 A 480 V' }), 8],
  [(random) => ({ lengthOverallM: random.stepped(19, 26, 0.5), draftM: random.stepped(4.2, 5.2, 0.1) }), 18],
  [() => ({ plugAsSaid: '63 A red' }), 8],
  [() => ({ plugAsSaid: '32 A blue' }), 8],
];

const otherwise = [
  'Wanted to lie beside friends, who had no free berth next to theirs.',
  'Would not take a berth on trial while its plug was unknown.',
  'Found the price too high.',
  'Rang again: stays at anchor.',
] as const;

/** `count` calls over the season, most of them for weekends. */
export function turnedAway(
  random: Random,
  { today, timeZone }: { readonly today: string; readonly timeZone: string },
  count: number,
  nextName: () => string,
): { readonly boats: readonly Boat[]; readonly calls: readonly DemoTurnedAway[] } {
  const boats: Boat[] = [];
  const calls: DemoTurnedAway[] = [];
  for (let i = 1; i <= count; i++) {
    const number = String(i).padStart(3, '0');
    const odd = random.weighted(oddities);
    const day = addDays(today, random.whole(-125, 20));
    const from = localMoment(day, 15, timeZone);
    const calledAt = Math.min(from, localMoment(addDays(today, -1), 17, timeZone)) - random.whole(0, 20) * 3_600_000;
    const told = {
      ...visitor(random, 'call'),
      ...odd(random),
      id: `turned-away-${number}`,
      name: nextName(),
    };
    boats.push(boatOf(told, 'phone', calledAt));
    calls.push({
      id: `call-${number}`,
      boatId: told.id,
      contactName: personName(random),
      contactPhone: phoneNumber(random),
      from,
      until: localMoment(addDays(day, random.whole(1, 4)), 11, timeZone),
      wishes: { dockId: null, berthId: null, orientation: null, mooring: null },
      note: '',
      calledAt,
      otherwise: random.pick(otherwise),
    });
  }
  return { boats, calls };
}
