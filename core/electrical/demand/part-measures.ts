import type { Equipment } from '../../inventory/inventory.ts';
import type { LineName } from '../../standards/configuration.ts';
import { type LoadVa, lineAmperes, lineNames, neutralAmperes, type Phasors, wholeIndex } from './channels.ts';
import type { Assessment, LimitCheck, LimitKind } from './demand-of-part.ts';
import { type Winding, windingsOf } from './transformer.ts';

/**
 * What is read off one part under one load: `[L1 A, L2 A, L3 A, neutral A, whole VA, winding kVA ...]`. Every measure
 * grows with every channel.
 */
export type Measures = ArrayLike<number>;
const neutralMeasure = 3;
export const wholeMeasure = 4;
const firstWindingMeasure = 5;

interface PartLimit {
  readonly kind: LimitKind;
  readonly winding: string | null;
  readonly limit: number | null;
  readonly unit: 'A' | 'kVA';
  /** The measures it holds for; the largest of them counts. */
  readonly measures: readonly number[];
}

/** How to measure one part; without a known supply there is only the whole to measure. */
export interface PartGauge {
  readonly part: Equipment;
  readonly phasors: Phasors | null;
  readonly windings: readonly Winding[];
  readonly measureCount: number;
  readonly limits: readonly PartLimit[];
  readonly hasLimit: boolean;
}

/** All limits of a part, on its load side. A part without a neutral has no neutral limit. */
export function gaugeOf(part: Equipment, phasors: Phasors | null): PartGauge {
  const windings = phasors === null ? [] : windingsOf(part, phasors);
  const amperes = (kind: LimitKind, limit: number | null, measures: readonly number[]): PartLimit => ({
    kind,
    winding: null,
    limit,
    unit: 'A',
    measures,
  });
  const limits: PartLimit[] = [];
  if (phasors !== null) {
    limits.push(amperes('breaker', part.breakerA, phasors.lines));
    limits.push(amperes('conductor', part.conductorAmpacityA, phasors.lines));
    if (phasors.system.hasNeutral) limits.push(amperes('neutral', part.neutralAmpacityA, [neutralMeasure]));
    limits.push(amperes('bus', part.busA, phasors.lines));
    for (const [i, { name, limitKva }] of windings.entries()) {
      limits.push({
        kind: 'winding',
        winding: name,
        limit: limitKva,
        unit: 'kVA',
        measures: [firstWindingMeasure + i],
      });
    }
  }
  return {
    part,
    phasors,
    windings,
    measureCount: firstWindingMeasure + windings.length,
    limits,
    hasLimit: limits.some(({ limit }) => limit !== null),
  };
}

/** Reads a load into `into`, which has `measureCount` places. */
export function measure(gauge: PartGauge, load: LoadVa, into: Float64Array): void {
  into[wholeMeasure] = load[wholeIndex] ?? 0;
  const { phasors } = gauge;
  if (phasors === null) return;
  for (const line of phasors.lines) into[line] = lineAmperes(phasors, load, line);
  into[neutralMeasure] = neutralAmperes(phasors, load);
  for (let i = 0; i < gauge.windings.length; i++) {
    into[firstWindingMeasure + i] = gauge.windings[i]?.loadKva(into) ?? 0;
  }
}

export function measured(gauge: PartGauge, load: LoadVa): Float64Array {
  const measures = new Float64Array(gauge.measureCount);
  measure(gauge, load, measures);
  return measures;
}

export function lineAOf(gauge: PartGauge, measures: Measures): Partial<Record<LineName, number>> {
  const lineA: Partial<Record<LineName, number>> = {};
  for (const line of gauge.phasors?.lines ?? []) {
    const name = lineNames[line];
    if (name !== undefined) lineA[name] = measures[line] ?? 0;
  }
  return lineA;
}

/** Index of the measure that counts for a limit: its largest. */
export function governingMeasure(limit: { readonly measures: readonly number[] }, measures: Measures): number {
  let governing = limit.measures[0] ?? 0;
  for (const i of limit.measures) if ((measures[i] ?? 0) > (measures[governing] ?? 0)) governing = i;
  return governing;
}

export function limitChecks(gauge: PartGauge, measures: Measures): LimitCheck[] {
  return gauge.limits.map(({ kind, winding, limit, unit, measures: of }) => {
    const actual = measures[governingMeasure({ measures: of }, measures)] ?? 0;
    return { kind, winding, actual, limit, margin: limit === null ? null : limit - actual, unit };
  });
}

/** Whether a limit is passed. The allowance is for rounding in sums, not for load. */
export function isOver(check: { readonly actual: number; readonly limit: number | null }): boolean {
  return check.limit !== null && check.actual > check.limit + 1e-9 * Math.max(1, check.limit);
}

/** An unknown load can still be over by what is known; it is never within. */
export function assess(gauge: PartGauge, checks: readonly LimitCheck[], everyLoadKnown: boolean): Assessment {
  if (checks.some(isOver)) return 'over';
  return gauge.hasLimit && everyLoadKnown ? 'within' : 'notAssessed';
}
