import type { OptionsQuestion } from '../../core/berths/options/options.ts';
import { demandAt } from '../../core/electrical/demand/demand-at.ts';
import { peakDemand } from '../../core/electrical/demand/peak-demand.ts';
import { questionsFor } from './options-core.ts';

export interface DemandFigures {
  readonly name: string;
  readonly outlets: number;
  readonly inUse: number;
  readonly medianCpuMs: number;
}

/** Demand of every part of a marina of 2,000 outlets, most berths held: at a moment, and the peaks of a week. */
export async function run(times = 60): Promise<DemandFigures[]> {
  const [question] = questionsFor(1_000, 0.85);
  if (question === undefined) throw new Error('no question');
  const { index, practice, outletUses, period } = question;
  return [
    measure('demand at a moment', question, times, () => demandAt(index, practice, outletUses, period.from).length),
    measure('peaks over a week', question, times, () => peakDemand(index, practice, outletUses, period, null).length),
  ];
}

function measure(
  name: string,
  { index, outletUses }: OptionsQuestion,
  times: number,
  work: () => number,
): DemandFigures {
  const taken: number[] = [];
  for (let turn = -times; turn < times; turn++) {
    const start = process.cpuUsage();
    const parts = work();
    const { user, system } = process.cpuUsage(start);
    if (parts !== index.inventory.equipment.length) throw new Error(`${name}: ${parts} parts`);
    if (turn >= 0) taken.push((user + system) / 1_000);
  }
  taken.sort((a, b) => a - b);
  const medianCpuMs = taken[taken.length >> 1] ?? 0;
  return { name, outlets: index.inventory.outlets.length, inUse: outletUses.length, medianCpuMs };
}
