import { describe, expect, it } from 'vitest';
import { indexInventory } from '../../../../core/inventory/index-inventory.ts';
import type { Inventory } from '../../../../core/inventory/inventory.ts';
import { overlaps } from '../../../../core/periods.ts';
import { demandPractice } from '../../../../core/standards/demand-practices.ts';
import type { Tariff } from '../../../../core/upgrades/money/tariff.ts';
import { seededChance } from '../../../../core/upgrades/random.ts';
import { compareReplays } from '../../../../core/upgrades/replay/compare-replays.ts';
import { drawSeason, rangeOf, sameSeason } from '../../../../core/upgrades/replay/random-season.ts';
import { replaySeason, type SeasonOnMarina } from '../../../../core/upgrades/replay/replay.ts';
import { largeMarina } from '../../../support/large-marina.ts';
import { replayRequests, seasonFrom } from '../../../support/replay-season.ts';

const practice = demandPractice('nec-555-2020');
if (practice === null) throw new Error('no practice');
const marina = largeMarina(20);
const requests = replayRequests(120, 14, 5);
const tariff: Tariff = {
  currency: 'USD',
  lengthCharged: 'exact',
  rates: [
    {
      id: 'night',
      label: 'night',
      kind: 'perNight',
      amount: '40',
      season: null,
      longerThanM: null,
      upToM: null,
      outletRatedA: null,
    },
  ],
  taxes: [],
};
const season = (inventory: Inventory, of: Partial<SeasonOnMarina> = {}): SeasonOnMarina => ({
  index: indexInventory(inventory),
  practice,
  season: { from: seasonFrom, until: seasonFrom + 25 * 86_400_000 },
  requests,
  spaceUses: [],
  outletUses: [],
  tariff,
  ...of,
});
const before = replaySeason(season(marina));

describe('a replayed season', () => {
  it('serves some and turns some away, each with the rules that spoke, and every night is counted once', () => {
    expect(before.served).toBeGreaterThan(20);
    expect(before.turnedAway).toBeGreaterThan(5);
    for (const { berthId, rules } of before.placements) expect(berthId === null).toBe(rules.length > 0);
    const nights = requests.reduce((sum, request) => sum + request.nights.length, 0);
    expect(before.nightsServed + before.nightsTurnedAway).toBe(nights);
    expect(Object.values(before.nightsByService).reduce((sum, each) => sum + each, 0)).toBe(before.nightsServed);
    // 40.00 a night, by hand.
    expect(before.incomeMinor).toBe(BigInt(before.nightsServed) * 4000n);
  });

  it('gives no unit of space to two boats at once', () => {
    const { berths } = indexInventory(marina);
    const turnover = marina.settings.turnoverMinutes * 60_000;
    const byId = new Map(requests.map((request) => [request.id, request]));
    const taken = before.placements.flatMap(({ requestId, berthId }) => {
      const berth = berths.get(berthId ?? '');
      const period = byId.get(requestId)?.period;
      if (berth === undefined || period === undefined || berth.faceFromM !== null) return [];
      return berth.unitIds.map((unitId) => ({ unitId, from: period.from, until: period.until + turnover }));
    });
    for (const [i, a] of taken.entries())
      for (const b of taken.slice(i + 1)) expect(a.unitId === b.unitId && overlaps(a, b)).toBe(false);
  });

  it('does not hang on the order in which requests are handed over', () => {
    expect(replaySeason(season(marina, { requests: [...requests].reverse() }))).toEqual(before);
  });

  it('with no change differs in nothing', () => {
    const { peaks, newlyServed, newlyTurnedAway, nightsByService, nightsTurnedAwayByRule, incomeMinor, ...rest } =
      compareReplays(before, replaySeason(season(structuredClone(marina))));
    expect([peaks, newlyServed, newlyTurnedAway, nightsByService, nightsTurnedAwayByRule, incomeMinor]).toEqual([
      [],
      [],
      [],
      {},
      {},
      0n,
    ]);
    expect(Object.values(rest).every((value) => value === 0)).toBe(true);
  });

  it('serves fewer with docks closed for construction', () => {
    const index = indexInventory(marina);
    const used = new Set(marina.berths.slice(3).flatMap(({ unitIds }) => unitIds));
    const closed = [...used].map((unitId) => ({
      unitId,
      fromM: 0,
      untilM: index.spaceUnits.get(unitId)?.faceLengthM ?? 1,
      from: seasonFrom - 1e9,
      until: seasonFrom + 40 * 86_400_000,
      by: { kind: 'outOfService' as const, id: 'works', label: 'construction' },
    }));
    expect(replaySeason(season(marina, { spaceUses: closed })).nightsServed).toBeLessThan(before.nightsServed);
  });

  it('serves nobody with power that the feeders cannot carry', () => {
    const weak = {
      ...marina,
      equipment: marina.equipment.map((part) => ({ ...part, breakerA: part.kind === 'feeder' ? 20 : part.breakerA })),
    };
    const replay = replaySeason(season(weak));
    expect(replay.nightsServed).toBeLessThan(before.nightsServed);
    expect(Object.keys(replay.nightsTurnedAwayByRule).some((rule) => rule.startsWith('demand.'))).toBe(true);
  });
});

describe('drawn seasons', () => {
  it('have the recorded number of calls on average, and more with growth and longer boats', () => {
    const mean = (change: typeof sameSeason) => {
      const chance = seededChance(11);
      let calls = 0;
      for (let draw = 0; draw < 200; draw++) calls += drawSeason(requests, change, chance).length;
      return calls / 200;
    };
    // 120 calls, Poisson: the mean of 200 seasons has a standard error of sqrt(120 / 200) = 0.77.
    expect(Math.abs(mean(sameSeason) - 120)).toBeLessThan(4);
    expect(Math.abs(mean({ ...sameSeason, growth: 0.5 }) - 180)).toBeLessThan(5);
    const long = requests.filter(({ boat }) => (boat.lengthOverallM?.value ?? 0) > 11).length;
    expect(Math.abs(mean({ growth: 0, longerThanM: 11, longerFactor: 2 }) - (120 + long))).toBeLessThan(5);
  });

  it('are the same from the same seed, and their ids stay unique', () => {
    const one = drawSeason(requests, sameSeason, seededChance(3));
    expect(drawSeason(requests, sameSeason, seededChance(3))).toEqual(one);
    expect(new Set(one.map(({ id }) => id)).size).toBe(one.length);
  });

  it('give low, expected and high in order', () => {
    expect(rangeOf([5, 1, 9, 3, 7, 2, 8, 4, 6, 10])).toEqual({ low: 1, expected: 5, high: 9 });
  });
});
