import { Temporal } from 'temporal-polyfill';
import type { z } from 'zod';
import { electricalCautions } from '../../core/cautions.ts';
import { amountText } from '../../core/upgrades/money/money.ts';
import type { Tariff } from '../../core/upgrades/money/tariff.ts';
import { seededChance } from '../../core/upgrades/random.ts';
import { compareReplays } from '../../core/upgrades/replay/compare-replays.ts';
import { drawSeason, rangeOf } from '../../core/upgrades/replay/random-season.ts';
import { type Replay, replaySteps, type SeasonOnMarina } from '../../core/upgrades/replay/replay.ts';
import type { ReplayRequest } from '../../core/upgrades/replay/request.ts';
import { practiceOf } from '../berth-options/question.ts';
import { boatOf } from '../boats/stored-boat.ts';
import { Problem } from '../errors.ts';
import { localDayOf, localDaysOf } from '../local-time.ts';
import { loadOccupancy } from '../occupancy/load.ts';
import type { Services } from '../services.ts';
import { storedWishes } from '../stays/stored-stay.ts';
import { inTurns } from './in-turns.ts';
import { type replayedSchema, type replayInputSchema, tariffSchema } from './schema.ts';
import { bothInventories, moneyOf, type StoredStudy } from './stored-study.ts';

/** Told after each request that was taken: the share of the work that is done. What it throws ends the replay. */
export type OnProgress = (share: number) => Promise<void>;

/** A season's own requests on both inventories, and random seasons for ranges. Other requests are answered meanwhile. */
export async function replayStudy(
  { db }: Services,
  study: StoredStudy,
  input: z.output<typeof replayInputSchema>,
  onProgress: OnProgress = async () => {},
): Promise<z.output<typeof replayedSchema>> {
  const { marinaId } = study.row;
  const season = { from: Date.parse(input.from), until: Date.parse(input.until) };
  if (!(season.from < season.until)) throw new Problem('invalid-input', 'The season ends before it begins.');
  const { before, after, made } = bothInventories(study, input.chosen);
  const { timeZone } = before.inventory;
  const stays = await db.prisma.stay.findMany({
    where: {
      marinaId,
      arrivalAt: { gte: new Date(season.from), lt: new Date(season.until) },
      state: { not: 'cancelled' },
    },
    include: { boat: true },
    orderBy: { id: 'asc' },
    take: 20_000,
  });
  const requests = stays.map((stay): ReplayRequest => {
    const period = { from: stay.arrivalAt.getTime(), until: stay.departureAt.getTime() };
    return {
      id: stay.id,
      boat: boatOf(stay.boat),
      bookedAt: stay.createdAt.getTime(),
      period,
      localDays: localDaysOf(period, timeZone),
      nights: nightsOf(period, timeZone),
      wishes: storedWishes.parse(stay.wishes),
      energyKwh: null,
    };
  });
  const { spaceUses, outletUses } = await loadOccupancy(db.prisma, marinaId, season);
  const isFixed = ({ by }: { readonly by: { readonly kind: string } }) => by.kind !== 'assignment';
  const stored = await db.prisma.tariff.findUnique({ where: { marinaId } });
  const tariff: Tariff | null = stored === null ? null : tariffSchema.parse(stored.document);
  const on = (index: SeasonOnMarina['index'], of: readonly ReplayRequest[]): SeasonOnMarina => ({
    index,
    practice: practiceOf(index),
    season,
    requests: of,
    spaceUses: spaceUses.filter((use) => isFixed(use) && index.spaceUnits.has(use.unitId)),
    outletUses: outletUses.filter((use) => isFixed(use) && index.outlets.has(use.outletId)),
    tariff,
  });
  const change = { growth: input.growth, longerThanM: input.longerThanM, longerFactor: input.longerFactor };
  const isChanged = input.growth !== 0 || input.longerFactor !== 1;
  const chance = seededChance(input.seed);
  const asked = isChanged ? drawSeason(requests, change, chance) : requests;
  let taken = 0;
  const all = 2 * asked.length * (1 + input.seasons);
  const step = () => onProgress(Math.min(1, ++taken / Math.max(1, all)));
  const was = await inTurns(replaySteps(on(before, asked)), step);
  const is = await inTurns(replaySteps(on(after, asked)), step);
  const drawn: { nights: number; income: number | null }[] = [];
  for (let draw = 0; draw < input.seasons; draw++) {
    const calls = drawSeason(requests, change, chance);
    const { nightsServed, incomeMinor } = compareReplays(
      await inTurns(replaySteps(on(before, calls)), step),
      await inTurns(replaySteps(on(after, calls)), step),
    );
    drawn.push({ nights: nightsServed, income: incomeMinor === null ? null : Number(incomeMinor) });
  }
  const { incomeMinor, peaks: _, ...difference } = compareReplays(was, is);
  const currency = tariff?.currency ?? study.settings.currency;
  const money = (minor: bigint | null) => (minor === null ? null : amountText(minor, currency));
  const income = rangeOf(drawn.flatMap((each) => (each.income === null ? [] : [each.income])));
  const inMoney = (minor: number) => amountText(BigInt(Math.round(minor)), currency);
  return {
    before: replayToApi(was, money),
    after: replayToApi(is, money),
    difference: {
      ...difference,
      income: money(incomeMinor),
      newlyServed: [...difference.newlyServed],
      newlyTurnedAway: [...difference.newlyTurnedAway],
    },
    ranges:
      drawn.length === 0
        ? null
        : {
            seasons: drawn.length,
            nightsServed: rangeOf(drawn.map(({ nights }) => nights)),
            addedIncome:
              tariff === null
                ? null
                : { low: inMoney(income.low), expected: inMoney(income.expected), high: inMoney(income.high) },
          },
    yearlyPayment: moneyOf(study.settings, made).yearlyPayment,
    currency,
    assumptions: [
      'Every request, the turned-away included, is taken in the order of booking and given the first berth that the rules do not refuse; nobody is moved later.',
      'Replay is compared with replay, not with what the desk did.',
      'Energy of stays is not counted as income where it was not measured.',
      ...(isChanged ? [`Requests are drawn from the season's own, seed ${input.seed}.`] : []),
    ],
    cautions: [...electricalCautions],
  };
}

function nightsOf({ from, until }: { readonly from: number; readonly until: number }, timeZone: string): string[] {
  const last = localDayOf(until, timeZone);
  const nights: string[] = [];
  for (
    let day = Temporal.PlainDate.from(localDayOf(from, timeZone));
    day.toString() < last;
    day = day.add({ days: 1 })
  ) {
    nights.push(day.toString());
  }
  return nights;
}

function replayToApi(replay: Replay, money: (minor: bigint | null) => string | null) {
  const { placements: _, incomeMinor, peaks, ...rest } = replay;
  return { ...rest, income: money(incomeMinor), peaks: [...peaks] };
}
