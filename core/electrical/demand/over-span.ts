import type { Period } from '../../periods.ts';
import type { FactorRows } from './admitted-counts.ts';
import type { LoadBasis } from './demand-of-part.ts';
import { governingMeasure, isOver, measure } from './part-measures.ts';
import { type AddedUse, loadOf, type PartSweep } from './part-sweep.ts';

/**
 * The stretch of the period around a peak in which a limit is passed without a break, with a boat's receptacles added.
 * Its ends are the period's own where the limit is passed from the start or to the end.
 */
export function overSpan(
  sweep: PartSweep,
  basis: LoadBasis,
  rows: FactorRows,
  added: AddedUse,
  passed: { readonly measures: readonly number[]; readonly limit: number },
  peakAt: number,
  period: Period,
): Period {
  const { ratings, turns, scratch } = sweep;
  const counts = sweep.start.counts.slice();
  const shares = sweep.start.shares.slice();
  const isPassed = () => {
    loadOf(sweep, basis, rows, added, { counts, shares });
    measure(ratings.gauge, scratch.load, scratch.measures);
    const actual = scratch.measures[governingMeasure(passed, scratch.measures)] ?? 0;
    return isOver({ actual, limit: passed.limit });
  };
  let from: number | null = isPassed() ? period.from : null;
  for (let t = 0; t < turns.length; ) {
    const at = turns[t]?.at ?? 0;
    for (let turn = turns[t]; turn !== undefined && turn.at === at; turn = turns[++t]) {
      counts[turn.index] = (counts[turn.index] ?? 0) + turn.change;
      shares[turn.index] = (shares[turn.index] ?? 0) + turn.change * turn.share;
    }
    if (isPassed()) from ??= at;
    else {
      if (from !== null && from <= peakAt && peakAt < at) return { from, until: at };
      from = null;
    }
  }
  return { from: from ?? peakAt, until: period.until };
}

/** In words that follow a message: when, by the marina's clocks. */
export function spanInWords(span: Period, period: Period, sayTime: (at: number) => string): string {
  const { from, until } = span;
  if (from <= period.from) {
    return until >= period.until ? 'That holds all through the stay.' : `That passes at ${sayTime(until)}.`;
  }
  return until >= period.until
    ? `That begins at ${sayTime(from)} and holds to the end of the stay.`
    : `That begins at ${sayTime(from)} and passes at ${sayTime(until)}.`;
}
