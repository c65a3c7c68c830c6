import type { z } from 'zod';
import { electricalCautions } from '../../core/cautions.ts';
import { amountText, minorUnits } from '../../core/upgrades/money/money.ts';
import { seededChance } from '../../core/upgrades/random.ts';
import { compareReplays, type ReplayDifference } from '../../core/upgrades/replay/compare-replays.ts';
import { drawSeason, rangeOf } from '../../core/upgrades/replay/random-season.ts';
import { type Replay, replaySteps } from '../../core/upgrades/replay/replay.ts';
import { constructionClosings } from '../../core/upgrades/studies/construction.ts';
import { Problem } from '../errors.ts';
import type { Services } from '../services.ts';
import { inTurns } from './in-turns.ts';
import type { replayedSchema, replayInputSchema } from './schema.ts';
import { loadSeason } from './season-of-study.ts';
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
  const { requests, tariff, on } = await loadSeason(db, marinaId, timeZone, season);
  const change = { growth: input.growth, longerThanM: input.longerThanM, longerFactor: input.longerFactor };
  const isChanged = input.growth !== 0 || input.longerFactor !== 1;
  const chance = seededChance(input.seed);
  const asked = isChanged ? drawSeason(requests, change, chance) : requests;
  let taken = 0;
  const all = asked.length * (2 + 2 * input.seasons + (input.construction === null ? 0 : 1));
  const step = () => onProgress(Math.min(1, ++taken / Math.max(1, all)));
  const was = await inTurns(replaySteps(on(before, asked)), step);
  const is = await inTurns(replaySteps(on(after, asked)), step);
  const closings =
    input.construction === null
      ? []
      : constructionClosings(before, made, Date.parse(input.construction.from), input.construction.order);
  const built = input.construction === null ? null : await inTurns(replaySteps(on(before, asked, closings)), step);
  const drawn: { nights: number; income: number | null }[] = [];
  for (let draw = 0; draw < input.seasons; draw++) {
    const calls = drawSeason(requests, change, chance);
    const { nightsServed, incomeMinor } = compareReplays(
      await inTurns(replaySteps(on(before, calls)), step),
      await inTurns(replaySteps(on(after, calls)), step),
    );
    drawn.push({ nights: nightsServed, income: incomeMinor === null ? null : Number(incomeMinor) });
  }
  const currency = tariff?.currency ?? study.settings.currency;
  const money = (minor: bigint | null) => (minor === null ? null : amountText(minor, currency));
  const compared = compareReplays(was, is);
  const income = rangeOf(drawn.flatMap((each) => (each.income === null ? [] : [each.income])));
  const inMoney = (minor: number) => amountText(BigInt(Math.round(minor)), currency);
  const { yearlyPayment } = moneyOf(study.settings, made);
  return {
    before: replayToApi(was, money),
    after: replayToApi(is, money),
    difference: differenceToApi(compared, money),
    construction:
      built === null
        ? null
        : {
            closings: closings.map(({ from, until, outletIds, unitIds, changeId }) => ({
              changeId,
              from: new Date(from).toISOString(),
              until: new Date(until).toISOString(),
              outletIds: [...outletIds],
              unitIds: [...unitIds],
            })),
            replay: replayToApi(built, money),
            difference: differenceToApi(compareReplays(was, built), money),
          },
    afterPayment:
      yearlyPayment === null || compared.incomeMinor === null || currency !== study.settings.currency
        ? null
        : leftAfter(
            minorUnits(yearlyPayment, currency),
            compared.incomeMinor,
            drawn.length === 0 ? null : income,
            money,
          ),
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
    yearlyPayment,
    currency,
    assumptions: [
      'Every request, the turned-away included, is taken in the order of booking and given the first berth that the rules do not refuse; nobody is moved later.',
      'Replay is compared with replay, not with what the desk did.',
      'Energy of stays is not counted as income where it was not measured.',
      ...(built === null
        ? []
        : [
            'While it is built: the present inventory with closed what each change touches, for the days that the change states. Do nothing: the present inventory as it is.',
          ]),
      ...(yearlyPayment === null ? [] : ['The yearly payment is held against the added income of this one season.']),
      ...(isChanged ? [`Requests are drawn from the season's own, seed ${input.seed}.`] : []),
    ],
    cautions: [...electricalCautions],
  };
}

type Money = (minor: bigint | null) => string | null;

/** What a season's added income leaves of the yearly payment; below zero it does not pay it. */
function leftAfter(
  payment: bigint,
  recorded: bigint,
  range: ReturnType<typeof rangeOf> | null,
  money: Money,
): z.output<typeof replayedSchema>['afterPayment'] {
  const left = (minor: number) => money(BigInt(Math.round(minor)) - payment);
  return {
    recorded: money(recorded - payment) ?? '',
    low: range === null ? null : left(range.low),
    expected: range === null ? null : left(range.expected),
    high: range === null ? null : left(range.high),
  };
}

function differenceToApi({ incomeMinor, peaks: _, ...difference }: ReplayDifference, money: Money) {
  return {
    ...difference,
    income: money(incomeMinor),
    newlyServed: [...difference.newlyServed],
    newlyTurnedAway: [...difference.newlyTurnedAway],
  };
}

function replayToApi(replay: Replay, money: Money) {
  const { placements: _, incomeMinor, peaks, ...rest } = replay;
  return { ...rest, income: money(incomeMinor), peaks: [...peaks] };
}
