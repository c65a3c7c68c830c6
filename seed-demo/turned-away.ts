import type { Boat } from '../core/boats.ts';
import { boatOf } from './boat.ts';
import { addDays, localMoment } from './days.ts';
import { personName, phoneNumber } from './names.ts';
import type { Random } from './random.ts';
import type { DemoStay } from './season.ts';
import { visitor } from './visitors.ts';

/** A call that ended without a berth, and why. */
export interface DemoTurnedAway extends Omit<DemoStay, 'course' | 'preferredBerthIds'> {
  readonly reasons: readonly { readonly rule: string; readonly note: string }[];
}

interface Why {
  readonly rule: string;
  readonly note: string;
  readonly boat?: (random: Random) => { lengthOverallM?: number; beamM?: number; draftM?: number; plugAsSaid?: string };
}

const why: readonly [readonly [Why, number], ...(readonly [Why, number])[]] = [
  [{ rule: 'space.taken', note: 'Full on these nights.' }, 34],
  [{ rule: 'space.held', note: 'Every slip of its size was held and no holder away.' }, 20],
  [
    {
      rule: 'fit.length',
      note: 'Longer than any place that was free.',
      boat: (random) => ({ lengthOverallM: random.stepped(24, 38, 0.5), beamM: 7.4 }),
    },
    18,
  ],
  [
    {
      rule: 'fit.depth',
      note: 'Draws more than the docks have at low water.',
      boat: (random) => ({ draftM: random.stepped(3.4, 4.2, 0.1) }),
    },
    8,
  ],
  [
    {
      rule: 'hookup.mating',
      note: 'Its plug fits no free outlet, with no adapter aboard.',
      boat: () => ({ plugAsSaid: '100A 125/250V' }),
    },
    12,
  ],
  [{ rule: 'demand.breaker', note: 'The feeders with room for it were full on these nights.' }, 5],
  [{ rule: 'reach.distance', note: 'No cord from a free outlet would have reached its inlet.' }, 3],
];

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
    const { rule, note, boat } = random.weighted(why);
    const day = addDays(today, random.whole(-125, 20));
    const from = localMoment(day, 15, timeZone);
    const calledAt = Math.min(from, localMoment(addDays(today, -1), 17, timeZone)) - random.whole(0, 20) * 3_600_000;
    const told = {
      ...visitor(random, 'call'),
      ...boat?.(random),
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
      reasons: [{ rule, note }],
    });
  }
  return { boats, calls };
}
