import type { DemandPractice } from '../../standards/demand-practice.ts';
import {
  addLoad,
  channelCount,
  type LoadVa,
  lineAmperes,
  noLoad,
  type Phasors,
  touches,
  wholeIndex,
} from './channels.ts';
import { admittedDemand, factorAt } from './practice-factor.ts';

export interface CountedReceptacle {
  readonly load: LoadVa;
  readonly nominalV: number;
  /** The slip it serves alone, where that slip has exactly two receptacles; null otherwise. */
  readonly oneOfTwoAt: string | null;
}

/** A table's demand as printed: factor(count) x sum. */
export interface TableDemand {
  readonly counted: readonly CountedReceptacle[];
  readonly connectedVa: number;
  readonly countingBasis: 'all' | 'mostLoadedLine';
  readonly count: number;
  readonly factor: number;
  /** Connected load on the channels. */
  readonly connected: LoadVa;
  /** Connected load x factor. */
  readonly demand: LoadVa;
  readonly step: TableStep | null;
}

/**
 * A step of the table nearby: `count` receptacles give `demandVa`, and a neighbouring count gives more although it has
 * fewer receptacles, or less although it has more.
 */
export interface TableStep {
  readonly count: number;
  readonly demandVa: number;
  readonly otherCount: number;
  readonly otherDemandVa: number;
}

/** Two receptacles of different volts dedicated to one slip: only the larger is counted, in the sum and in the count. */
function withTwoVoltageRule(receptacles: readonly CountedReceptacle[]): CountedReceptacle[] {
  const largest = new Map<string, CountedReceptacle>();
  for (const receptacle of receptacles) {
    if (receptacle.oneOfTwoAt === null) continue;
    const other = largest.get(receptacle.oneOfTwoAt);
    if (other === undefined || wholeOf(receptacle) > wholeOf(other)) largest.set(receptacle.oneOfTwoAt, receptacle);
  }
  return receptacles.filter((receptacle) => {
    const larger = receptacle.oneOfTwoAt === null ? undefined : largest.get(receptacle.oneOfTwoAt);
    return larger === undefined || larger === receptacle || larger.nominalV === receptacle.nominalV;
  });
}

/** Demand of receptacles by the table. `phasors` null (unknown supply) counts all, whatever the basis. */
export function tableDemand(
  practice: DemandPractice,
  receptacles: readonly CountedReceptacle[],
  phasors: Phasors | null,
  countingBasis: 'all' | 'mostLoadedLine',
): TableDemand {
  const counted = practice.twoVoltageRule ? withTwoVoltageRule(receptacles) : [...receptacles];
  const connected = noLoad();
  for (const { load } of counted) addLoad(connected, load);
  const basis = phasors === null ? 'all' : countingBasis;
  const forFactor =
    phasors === null || basis === 'all' ? counted : onMostLoadedLine(practice, counted, connected, phasors);
  const factor = factorAt(practice, forFactor.length);
  const demand = noLoad();
  addLoad(demand, connected, factor);
  return {
    counted,
    connectedVa: connected[wholeIndex] ?? 0,
    countingBasis: basis,
    count: forFactor.length,
    factor,
    connected,
    demand,
    step: stepNear(practice, forFactor.map(wholeOf)),
  };
}

function wholeOf(receptacle: CountedReceptacle): number {
  return receptacle.load[wholeIndex] ?? 0;
}

/** Receptacles on the most loaded line; among lines equally loaded, on the one whose count gives the larger factor. */
function onMostLoadedLine(
  practice: DemandPractice,
  counted: readonly CountedReceptacle[],
  connected: LoadVa,
  phasors: Phasors,
): readonly CountedReceptacle[] {
  const amperes = phasors.lines.map((line) => lineAmperes(phasors, connected, line));
  const most = Math.max(...amperes);
  let chosen: readonly CountedReceptacle[] | null = null;
  for (const [i, line] of phasors.lines.entries()) {
    if ((amperes[i] ?? 0) < most * (1 - 1e-9)) continue;
    const onLine = counted.filter(({ load }) => loads(load, line));
    if (chosen === null || factorAt(practice, onLine.length) > factorAt(practice, chosen.length)) chosen = onLine;
  }
  return chosen ?? counted;
}

function loads(load: LoadVa, line: number): boolean {
  for (let channel = 0; channel < channelCount; channel++) {
    if (touches(channel, line) && (load[channel] ?? 0) > 0) return true;
  }
  return false;
}

function stepNear(practice: DemandPractice, ratingsVa: readonly number[]): TableStep | null {
  const count = ratingsVa.length;
  if (count === 0) return null;
  const sum = ratingsVa.reduce((total, va) => total + va, 0);
  const demandVa = factorAt(practice, count) * sum;
  const fewer = admittedDemand(practice, ratingsVa);
  if (fewer.demandVa > demandVa * (1 + 1e-9)) {
    return { count, demandVa, otherCount: fewer.count, otherDemandVa: fewer.demandVa };
  }
  const oneMoreVa = factorAt(practice, count + 1) * (sum + Math.max(...ratingsVa));
  if (oneMoreVa < demandVa) return { count, demandVa, otherCount: count + 1, otherDemandVa: oneMoreVa };
  return null;
}
