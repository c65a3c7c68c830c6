import type { OutletUse } from '../../berths/occupancy.ts';
import type { InventoryIndex } from '../../inventory/index-inventory.ts';
import type { Equipment, Outlet } from '../../inventory/inventory.ts';
import type { DemandPractice } from '../../standards/demand-practice.ts';
import { citation } from '../../standards/source.ts';
import { addLoad, channelCount, type LoadVa, noLoad, wholeIndex } from './channels.ts';
import { doubtsOf, gaugeFindings, overLimit } from './demand-findings.ts';
import type { DemandOfPart, LoadBasis } from './demand-of-part.ts';
import { loadModel } from './load-model.ts';
import { assess, gaugeOf, isOver, limitChecks, lineAOf, measured } from './part-measures.ts';
import { admittedDemand } from './practice-factor.ts';

/** One part's demand on both bases. */
export interface DemandOnBothBases {
  readonly rated: DemandOfPart;
  readonly stated: DemandOfPart;
}

interface UsedReceptacle {
  readonly outlet: Outlet;
  /** Rated load on the part; null where it is unknown. */
  readonly load: LoadVa | null;
  /** Stated load as a share of the rating; 1 where nobody stated any. */
  readonly statedShare: number;
}

/**
 * Demand of every part at one instant, in the inventory's order. A stated load is spread over the outlet's lines as its
 * rating is. Residents count like anyone; an outlet out of service carries nothing.
 *
 * The plain form of the computation: every receptacle in a list, every count tried. The sweep over a period must agree.
 */
export function demandAt(
  index: InventoryIndex,
  practice: DemandPractice,
  uses: readonly OutletUse[],
  at: number,
): DemandOnBothBases[] {
  const model = loadModel(index);
  const underPart = new Map<string, UsedReceptacle[]>();
  for (const use of uses) {
    const outlet = index.outlets.get(use.outletId);
    if (outlet === undefined || use.by.kind === 'outOfService' || use.from > at || at >= use.until) continue;
    const { rating, path, loads } = model.outletLoad(outlet);
    const statedShare = rating === null || use.statedVa === null ? 1 : use.statedVa / rating.leastVa;
    for (const [i, part] of path.entries()) {
      const used = { outlet, load: loads[i] ?? null, statedShare };
      const ofPart = underPart.get(part.id);
      if (ofPart === undefined) underPart.set(part.id, [used]);
      else ofPart.push(used);
    }
  }
  return index.inventory.equipment.map((part) => {
    const used = underPart.get(part.id) ?? [];
    const rated = { basis: 'rated', ...ratedLoad(practice, used) } as const;
    const stated = { basis: 'stated', ...statedLoad(used) } as const;
    return { rated: report(index, practice, part, used, rated), stated: report(index, practice, part, used, stated) };
  });
}

interface LoadOnBasis {
  readonly load: LoadVa;
  readonly connectedVa: number;
  readonly appliedFactor: DemandOfPart['appliedFactor'];
}

/** Each channel, and the whole, by the admission formula. */
function ratedLoad(practice: DemandPractice, used: readonly UsedReceptacle[]): LoadOnBasis {
  const loads = used.flatMap(({ load }) => (load === null ? [] : [load]));
  const load = noLoad();
  for (let channel = 0; channel < channelCount; channel++) {
    const ratings = loads.map((of) => of[channel] ?? 0).filter((va) => va > 0);
    load[channel] = admittedDemand(practice, ratings, loads.length).demandVa;
  }
  const ratings = loads.map((of) => of[wholeIndex] ?? 0);
  const { demandVa, count, factor } = admittedDemand(practice, ratings);
  load[wholeIndex] = demandVa;
  return {
    load,
    connectedVa: ratings.reduce((sum, va) => sum + va, 0),
    appliedFactor: { countingBasis: 'larger', count, factor, source: citation(practice.source) },
  };
}

function statedLoad(used: readonly UsedReceptacle[]): LoadOnBasis {
  const sum = noLoad();
  for (const { load, statedShare } of used) if (load !== null) addLoad(sum, load, statedShare);
  return { load: sum, connectedVa: sum[wholeIndex] ?? 0, appliedFactor: null };
}

function report(
  index: InventoryIndex,
  practice: DemandPractice,
  part: Equipment,
  used: readonly UsedReceptacle[],
  on: LoadOnBasis & { readonly basis: LoadBasis },
): DemandOfPart {
  const model = loadModel(index);
  const gauge = gaugeOf(part, model.phasors(part));
  const other = model.otherLoad(part);
  const load = noLoad();
  addLoad(load, on.load);
  addLoad(load, other);
  const measures = measured(gauge, load);
  const limits = limitChecks(gauge, measures);
  const everyLoadKnown = used.every((one) => one.load !== null);
  const level = index.inventory.settings.refusingBasis === on.basis ? 'refuse' : 'caution';
  return {
    equipmentId: part.id,
    label: part.label,
    basis: on.basis,
    receptacles: used.length,
    connectedVa: on.connectedVa,
    appliedFactor: on.appliedFactor,
    otherLoadVa: other[wholeIndex] ?? 0,
    demandVa: load[wholeIndex] ?? 0,
    lineA: lineAOf(gauge, measures),
    limits,
    assessment: assess(gauge, limits, everyLoadKnown),
    findings: [
      ...limits.filter(isOver).map((check) => overLimit(part, check, on.basis, level, practice, null)),
      ...gaugeFindings(gauge),
      ...doubtsOf(
        model,
        used.map(({ outlet }) => outlet),
        part,
      ),
    ],
  };
}
