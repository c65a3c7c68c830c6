import type { OutletUse } from '../../berths/occupancy.ts';
import type { InventoryIndex } from '../../inventory/index-inventory.ts';
import type { Period } from '../../periods.ts';
import type { DemandPractice } from '../../standards/demand-practice.ts';
import { factorRows } from './admitted-counts.ts';
import { lineNames } from './channels.ts';
import { doubtsOf, gaugeFindings, overLimit } from './demand-findings.ts';
import type { LoadBasis, PeakCheck, PeakOfPart, PeakValue } from './demand-of-part.ts';
import { loadModel } from './load-model.ts';
import { assess, governingMeasure, isOver, limitChecks, wholeMeasure } from './part-measures.ts';
import { type PartSweep, type Peaks, peaksOf, sweepPart, usesByOutlet } from './part-sweep.ts';

export interface PeakOnBothBases {
  readonly rated: PeakOfPart;
  readonly stated: PeakOfPart;
}

const nothingAdded = { indexes: [], statedShare: 1 };

/**
 * Peak demand of one part, or of every part in the inventory's order, over a period, on both bases. Each limit and line
 * has its own peak and the time when it is first reached.
 * @throws Error when the equipment is not in the inventory.
 */
export function peakDemand(
  index: InventoryIndex,
  practice: DemandPractice,
  uses: readonly OutletUse[],
  period: Period,
  equipmentId: string | null = null,
): PeakOnBothBases[] {
  const rows = factorRows(practice);
  const byOutlet = usesByOutlet(index, uses, period);
  const parts = index.inventory.equipment.filter((part) => equipmentId === null || part.id === equipmentId);
  if (parts.length === 0 && equipmentId !== null) throw new Error(`no equipment "${equipmentId}" in the inventory`);
  return parts.map((part) => {
    const sweep = sweepPart(index, part, byOutlet, period);
    const used = sweep.ratings.outlets.filter((_, i) => byOutlet[sweep.ratings.ordinals[i] ?? -1] !== undefined);
    const doubts = doubtsOf(loadModel(index), used, part);
    const on = (basis: LoadBasis): PeakOfPart => {
      const peak = peakOfPart(sweep, basis, peaksOf(sweep, basis, rows, nothingAdded));
      const level = index.inventory.settings.refusingBasis === basis ? 'refuse' : 'caution';
      const over = peak.limits.filter(isOver).map((check) => overLimit(part, check, basis, level, practice, null));
      return { ...peak, findings: [...over, ...gaugeFindings(sweep.ratings.gauge), ...doubts] };
    };
    return { rated: on('rated'), stated: on('stated') };
  });
}

/** A part's peaks against its limits, without findings. */
function peakOfPart(sweep: PartSweep, basis: LoadBasis, { values, at }: Peaks): Omit<PeakOfPart, 'findings'> {
  const { gauge } = sweep.ratings;
  const peak = (i: number): PeakValue => ({ value: values[i] ?? 0, at: at[i] ?? 0 });
  const lineA: PeakOfPart['lineA'] = Object.fromEntries(
    (gauge.phasors?.lines ?? []).map((line) => [lineNames[line], peak(line)]),
  );
  const limits = peakChecks(sweep, { values, at });
  return {
    equipmentId: gauge.part.id,
    label: gauge.part.label,
    basis,
    demandVa: peak(wholeMeasure),
    lineA,
    limits,
    assessment: assess(gauge, limits, sweep.unknown.length === 0),
  };
}

/** Every limit with its peak and the time of it. */
function peakChecks({ ratings: { gauge } }: PartSweep, { values, at }: Peaks): PeakCheck[] {
  return limitChecks(gauge, values).map((check, i) => {
    const limit = gauge.limits[i];
    return { ...check, at: limit === undefined ? 0 : (at[governingMeasure(limit, values)] ?? 0) };
  });
}
