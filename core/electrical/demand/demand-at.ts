import type { OutletUse } from '../../berths/occupancy.ts';
import type { Finding } from '../../findings.ts';
import type { InventoryIndex } from '../../inventory/index-inventory.ts';
import type { Equipment, Outlet } from '../../inventory/inventory.ts';
import type { DemandPractice } from '../../standards/demand-practice.ts';
import { citation } from '../../standards/source.ts';
import { admittedLoad, type ChannelDemand, statedChannels } from './admitted-load.ts';
import { addLoad, type LoadVa, noLoad, wholeIndex } from './channels.ts';
import { doubtsOf, gaugeFindings, overLimit } from './demand-findings.ts';
import type { DemandOfPart, LoadBasis } from './demand-of-part.ts';
import { loadModel } from './load-model.ts';
import { assess, gaugeOf, isOver, limitChecks, lineAOf, measured, type PartGauge } from './part-measures.ts';

/** One part's demand at an instant, with what each of its figures comes from. */
export interface DemandAtOnce extends DemandOfPart {
  /** Line amperes are the phasor sum, at unity power factor, of the channels that touch the line. */
  readonly channels: readonly ChannelDemand[];
}

/** One part's demand on both bases. */
export interface DemandOnBothBases {
  readonly rated: DemandAtOnce;
  readonly stated: DemandAtOnce;
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
    const other = model.otherLoad(part);
    const gauge = gaugeOf(part, model.phasors(part));
    const doubts = doubtsOf(
      model,
      used.map(({ outlet }) => outlet),
      part,
    );
    const about = { part, used, other, gauge, doubts };
    return {
      rated: report(index, practice, about, { basis: 'rated', ...ratedLoad(practice, used, other) }),
      stated: report(index, practice, about, { basis: 'stated', ...statedLoad(used, other) }),
    };
  });
}

interface LoadOnBasis {
  readonly load: LoadVa;
  readonly connectedVa: number;
  readonly appliedFactor: DemandOfPart['appliedFactor'];
  readonly channels: readonly ChannelDemand[];
}

/** Each channel, and the whole, by the admission formula. */
function ratedLoad(practice: DemandPractice, used: readonly UsedReceptacle[], other: LoadVa): LoadOnBasis {
  const loads = used.flatMap(({ load }) => (load === null ? [] : [load]));
  const { load, whole, connectedVa, channels } = admittedLoad(practice, loads, other);
  const { count, factor, countedVa } = whole;
  return {
    load,
    connectedVa,
    appliedFactor: { countingBasis: 'larger', count, factor, countedVa, source: citation(practice.source) },
    channels,
  };
}

function statedLoad(used: readonly UsedReceptacle[], other: LoadVa): LoadOnBasis {
  const loads = used.flatMap(({ load, statedShare }) => {
    if (load === null) return [];
    if (statedShare === 1) return [load];
    const stated = noLoad();
    addLoad(stated, load, statedShare);
    return [stated];
  });
  const sum = noLoad();
  for (const load of loads) addLoad(sum, load);
  return {
    load: sum,
    connectedVa: sum[wholeIndex] ?? 0,
    appliedFactor: null,
    channels: statedChannels(loads, other),
  };
}

/** What is the same of a part on both bases. */
interface AboutPart {
  readonly part: Equipment;
  readonly used: readonly UsedReceptacle[];
  readonly other: LoadVa;
  readonly gauge: PartGauge;
  readonly doubts: readonly Finding[];
}

function report(
  index: InventoryIndex,
  practice: DemandPractice,
  { part, used, other, gauge, doubts }: AboutPart,
  on: LoadOnBasis & { readonly basis: LoadBasis },
): DemandAtOnce {
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
    channels: on.channels,
    otherLoadVa: other[wholeIndex] ?? 0,
    demandVa: load[wholeIndex] ?? 0,
    lineA: lineAOf(gauge, measures),
    limits,
    assessment: assess(gauge, limits, everyLoadKnown),
    findings: [
      ...limits.filter(isOver).map((check) => overLimit(part, check, on.basis, level, practice, null)),
      ...gaugeFindings(gauge),
      ...doubts,
    ],
  };
}
