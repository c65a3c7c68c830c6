import type { Finding, Subject } from '../../findings.ts';

/** What meters say of one part over a period. */
export interface MeasuredPart {
  readonly subject: Subject;
  readonly from: number;
  readonly until: number;
  /** Averaging time of each reading, minutes. */
  readonly intervalMinutes: number;
  /** Largest average over one interval, VA; null: no reading. */
  readonly peakVa: number | null;
  /** On the most loaded line, A; null where lines are not known. */
  readonly peakA: number | null;
  /** Days of the period in which every meter read at least once, and intervals in which every meter read. */
  readonly daysRead: number;
  readonly completeShare: number;
  /** Outlets below that no meter sees: the peak is then at least what is shown. */
  readonly unmeteredOutlets: number;
  /** Whether somebody says that the larger of heating and cooling ran, and that the docks were occupied. */
  readonly largerOfHeatingAndCooling: boolean | null;
  readonly occupied: boolean | null;
}

export interface ExistingLoad {
  /** `oneYear`, `thirtyDays`: the method's two ways; `none`: the readings do not make one. */
  readonly method: 'oneYear' | 'thirtyDays' | 'none';
  /** 125 % of the peak, VA and A: what counts as the existing load. Null where there is no method. */
  readonly existingVa: number | null;
  readonly existingA: number | null;
  /** Existing and new load together against the limit; `notAssessed` where either is unknown. */
  readonly assessment: 'within' | 'over' | 'notAssessed';
  readonly totalA: number | null;
  readonly findings: readonly Finding[];
}

const dayMs = 86_400_000;
const yearDays = 365;
export const existingLoadSource =
  'NFPA 70 (NEC) 220.87: one year, or the exception of 30 days of 15-minute averages; 125 % (seen); its other words from memory';

/** Readings missing in more than this share of the intervals leave the peak unknown: common practice of this project. */
export const leastCompleteShare = 0.95;

/**
 * Existing load of a service or feeder by the measured method, with a new load beside it, against the smallest limit
 * that is known (A; null: none stated). A gap, an outlet without a meter or a condition that nobody has confirmed is a
 * finding: what is not known never makes a load smaller.
 */
export function existingLoad(part: MeasuredPart, newLoadA: number, limitA: number | null): ExistingLoad {
  const findings: Finding[] = [];
  const say = (
    level: Finding['level'],
    rule: string,
    message: string,
    actual: number | null,
    limit: number | null,
    unit: string | null,
  ) =>
    findings.push({
      rule: `sizing.measured.${rule}`,
      level,
      subject: part.subject,
      actual,
      limit,
      unit,
      source: existingLoadSource,
      message,
      ...(level === 'confirm' ? { missingFact: { subject: part.subject, fact: rule, question: message } } : {}),
    });
  const { label } = part.subject;
  const days = Math.floor((part.until - part.from) / dayMs + 1e-9);
  const method = methodOf(part, days);
  if (part.peakVa === null)
    say(
      'confirm',
      'noReadings',
      `No meter has read "${label}" in this period. Enter readings, or fit a meter.`,
      null,
      null,
      null,
    );
  else if (method === 'none') {
    say(
      'confirm',
      'tooShort',
      `${part.daysRead} of ${days} days are read for "${label}"; the method takes 365, or 30 days in a row of 15-minute averages.`,
      part.daysRead,
      days >= yearDays ? yearDays : 30,
      'd',
    );
  }
  if (method === 'thirtyDays') {
    if (part.largerOfHeatingAndCooling !== true)
      say(
        'confirm',
        'heatingAndCooling',
        `Did the larger of heating and cooling run on "${label}" during these days? If not, add it by calculation.`,
        null,
        null,
        null,
      );
    if (part.occupied !== true)
      say(
        'confirm',
        'occupied',
        `Were the docks below "${label}" occupied as in the busy season during these days?`,
        null,
        null,
        null,
      );
    say(
      'caution',
      'season',
      `30 days are one season: the peak of "${label}" in the hottest and the coldest weeks may be larger than what was read.`,
      null,
      null,
      null,
    );
  }
  if (part.peakVa !== null && part.completeShare < leastCompleteShare)
    say(
      'confirm',
      'gaps',
      `Only ${Math.floor(1000 * part.completeShare) / 10} % of the intervals of "${label}" are complete: the peak may lie in a gap.`,
      100 * part.completeShare,
      100 * leastCompleteShare,
      '%',
    );
  if (part.unmeteredOutlets > 0)
    say(
      'confirm',
      'unmetered',
      `${part.unmeteredOutlets} outlets below "${label}" have no meter: it carries more than is shown. Meter the part itself.`,
      part.unmeteredOutlets,
      0,
      null,
    );
  const counted = method === 'none' ? null : part;
  const existingA = counted?.peakA == null ? null : 1.25 * counted.peakA;
  const totalA = existingA === null ? null : existingA + newLoadA;
  const isOver = totalA !== null && limitA !== null && totalA > limitA * (1 + 1e-9);
  if (isOver && totalA !== null && limitA !== null)
    say(
      'refuse',
      'over',
      `"${label}" carries ${round(existingA ?? 0)} A by the measured method (125 %) and ${round(newLoadA)} A new: ${round(totalA)} of ${round(limitA)} A. Enlarge it, or add less.`,
      totalA,
      limitA,
      'A',
    );
  if (limitA === null)
    say('confirm', 'noLimit', `"${label}" has no limit on record. Enter its breaker or ampacity.`, null, null, null);
  const doubtful = findings.some(({ level }) => level === 'confirm');
  return {
    method,
    existingVa: counted?.peakVa == null ? null : 1.25 * counted.peakVa,
    existingA,
    totalA,
    assessment: isOver ? 'over' : doubtful || totalA === null ? 'notAssessed' : 'within',
    findings,
  };
}

function methodOf({ peakVa, daysRead, intervalMinutes }: MeasuredPart, days: number): ExistingLoad['method'] {
  if (peakVa === null) return 'none';
  if (days >= yearDays && daysRead >= yearDays) return 'oneYear';
  return daysRead >= 30 && intervalMinutes <= 15 ? 'thirtyDays' : 'none';
}

const round = (value: number) => Math.round(value * 10) / 10;
