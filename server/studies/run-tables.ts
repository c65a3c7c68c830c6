import type { z } from 'zod';
import { csvText } from '../feeds/csv-text.ts';
import type { chosenSchema, replayedSchema } from './schema.ts';

export const runTableNames = [
  'totals',
  'ranges',
  'services',
  'rules',
  'peaks',
  'construction',
  'closings',
  'best',
  'runnersUp',
  'curve',
  'verification',
] as const;
export type RunTableName = (typeof runTableNames)[number];

type Replayed = z.output<typeof replayedSchema>;
type Chosen = z.output<typeof chosenSchema>;
type Cell = string | number | null;

/** Every table of a replay as CSV. */
export function replayTables({
  before,
  after,
  difference,
  construction,
  ranges,
  afterPayment,
  yearlyPayment,
  currency,
}: Replayed): Partial<Record<RunTableName, string>> {
  const { nightsServed: nightsAdded, income: incomeAdded } = difference;
  const counts = (name: string, of: (side: Replayed['before']) => Readonly<Record<string, number>>) => {
    const [was, is] = [of(before), of(after)];
    const keys = [...new Set([...Object.keys(was), ...Object.keys(is)])].sort();
    return csvText([[name, 'nightsBefore', 'nightsAfter'], ...keys.map((key) => [key, was[key] ?? 0, is[key] ?? 0])]);
  };
  const both = (name: string, of: (side: Replayed['before']) => Cell) => [name, of(before), of(after)];
  const peakOf = (side: Replayed['before'], id: string) => side.peaks.find(({ equipmentId }) => equipmentId === id);
  const parts = new Map([...before.peaks, ...after.peaks].map(({ equipmentId, label }) => [equipmentId, label]));
  return {
    totals: csvText([
      ['figure', 'before', 'after'],
      both('calls', ({ requests }) => requests),
      both('served', ({ served }) => served),
      both('turnedAway', ({ turnedAway }) => turnedAway),
      both('nightsServed', ({ nightsServed }) => nightsServed),
      both('nightsTurnedAway', ({ nightsTurnedAway }) => nightsTurnedAway),
      both('nightsUnconfirmed', ({ nightsUnconfirmed }) => nightsUnconfirmed),
      both('adapterNights', ({ adapterNights }) => adapterNights),
      both(`income ${currency}`, ({ income }) => income),
      both('staysNotWhollyCharged', ({ staysNotWhollyCharged }) => staysNotWhollyCharged),
    ]),
    services: counts('service', ({ nightsByService }) => nightsByService),
    rules: counts('rule', ({ nightsTurnedAwayByRule }) => nightsTurnedAwayByRule),
    peaks: csvText([
      ['equipmentId', 'label', 'beforeVa', 'beforeShare', 'afterVa', 'afterShare'],
      ...[...parts].map(([id, label]) => {
        const [was, is] = [peakOf(before, id), peakOf(after, id)];
        const share = (peak: typeof was) => peak?.largestShare ?? null;
        return [id, label, was?.ratedVa ?? null, share(was), is?.ratedVa ?? null, share(is)];
      }),
    ]),
    ...(construction === null
      ? {}
      : {
          construction: csvText([
            ['figure', 'doNothing', 'whileBuilt'],
            ...(['served', 'turnedAway', 'nightsServed', 'nightsTurnedAway', 'nightsUnconfirmed'] as const).map(
              (name) => [name, before[name], construction.replay[name]],
            ),
            [`income ${currency}`, before.income, construction.replay.income],
          ]),
          closings: csvText([
            ['changeId', 'from', 'until', 'outletIds', 'unitIds'],
            ...construction.closings.map(({ changeId, from, until, outletIds, unitIds }) => [
              changeId,
              from,
              until,
              outletIds.join(' '),
              unitIds.join(' '),
            ]),
          ]),
        }),
    ranges: csvText([
      ['figure', 'recorded', 'low', 'expected', 'high'],
      ...(ranges === null ? [] : [['addedNights', nightsAdded, ...inOrder(ranges.nightsServed)]]),
      ...(ranges?.addedIncome == null
        ? []
        : [[`addedIncome ${currency}`, incomeAdded, ...inOrder(ranges.addedIncome)]]),
      ...(yearlyPayment === null
        ? []
        : [[`yearlyPayment ${currency}`, yearlyPayment, yearlyPayment, yearlyPayment, yearlyPayment]]),
      ...(afterPayment === null
        ? []
        : [
            [
              `afterPayment ${currency}`,
              afterPayment.recorded,
              afterPayment.low,
              afterPayment.expected,
              afterPayment.high,
            ],
          ]),
    ]),
  };
}

/** Every table of a choice as CSV. */
export function choiceTables({
  best,
  runnersUp,
  curve,
  verification,
  currency,
}: Chosen): Partial<Record<RunTableName, string>> {
  const ids = (stageOf: Readonly<Record<string, string>>) => Object.keys(stageOf).join(' ');
  return {
    best: csvText([['changeId', 'stage'], ...Object.entries(best?.stageOf ?? {})]),
    runnersUp: csvText([
      ['changeIds', 'benefit', `cost ${currency}`, 'added', 'leftOut', 'benefitLost', `costSaved ${currency}`],
      ...runnersUp.map(({ stageOf, benefit, cost, added, leftOut, benefitLost, costSaved }) => [
        ids(stageOf),
        benefit,
        cost,
        added.join(' '),
        leftOut.join(' '),
        benefitLost,
        costSaved,
      ]),
    ]),
    verification: csvText([
      ['place', 'stage', 'changeIds', 'state', 'addedNights', 'nightsTurnedAway', `addedIncome ${currency}`, 'failure'],
      ...verification.finalists.map(
        ({ place, stageId, chosen, addedNights, nightsTurnedAway, addedIncome, failure }) => [
          place,
          stageId,
          chosen.join(' '),
          failure === null ? verification.state : 'failed',
          addedNights,
          nightsTurnedAway,
          addedIncome,
          failure,
        ],
      ),
    ]),
    curve: csvText([
      [`budget ${currency}`, 'benefit', `cost ${currency}`, 'changeIds'],
      ...curve.map(({ budget, benefit, cost, stageOf }) => [budget, benefit, cost, ids(stageOf)]),
    ]),
  };
}

function inOrder<T>({ low, expected, high }: { readonly low: T; readonly expected: T; readonly high: T }): T[] {
  return [low, expected, high];
}
