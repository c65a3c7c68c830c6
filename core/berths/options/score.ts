import type { DemandFigures } from './demand-figures.ts';
import type { Doubt } from './doubt.ts';
import type { ScorePart } from './options.ts';

/** What a hook-up takes, whatever it brings. */
export interface Taken {
  /** Power inlets that it leaves out. */
  readonly inletsUnfed: number;
  readonly adapters: number;
  readonly adaptersToBring: number;
  /** Rating of the outlets beyond that of the inlets fed, A. */
  readonly outletLeftA: number;
}

export const noOutlets: Taken = { inletsUnfed: 0, adapters: 0, adaptersToBring: 0, outletLeftA: 0 };

/** A score: the values of `parts`, in their order. */
export type Score = readonly number[];

/**
 * The parts of a score, compared in this order. Continuous parts enter in steps first, so that 10 cm of length never
 * outweighs the boater's wish, and exactly at the end, so that equals are told apart.
 */
const parts: readonly Omit<ScorePart, 'value'>[] = [
  { name: 'power in doubt', unit: 'step', better: 'lower' },
  { name: 'refusals', unit: 'rule', better: 'lower' },
  { name: 'in doubt at this berth', unit: 'step', better: 'lower' },
  { name: 'units of space taken', unit: 'unit', better: 'lower' },
  { name: 'adapters to bring', unit: 'piece', better: 'lower' },
  { name: 'inlets without power', unit: 'inlet', better: 'lower' },
  { name: 'adapters', unit: 'piece', better: 'lower' },
  { name: 'room left over, by 2 m', unit: 'm', better: 'lower' },
  { name: 'outlet rating left over', unit: 'A', better: 'lower' },
  { name: 'margin left, by tenths', unit: 'share', better: 'higher' },
  { name: 'leakage budget left, by 10 mA', unit: 'mA', better: 'higher' },
  { name: 'unbalance of lines, by 30 A', unit: 'A', better: 'lower' },
  { name: 'wishes unmet', unit: 'wish', better: 'lower' },
  { name: 'room left over', unit: 'm', better: 'lower' },
  { name: 'margin left', unit: 'share', better: 'higher' },
  { name: 'unbalance of lines', unit: 'A', better: 'lower' },
];

const signs = parts.map(({ better }) => (better === 'lower' ? 1 : -1));

/**
 * @param units units of space that nobody else can have meanwhile
 * @param roomLeftM length and width left over, with what lying there cuts off from a gap on a face, m
 * @param leakageLeftMa leakage budget left on the outlets taken; 0 without outlets
 * @param unmet wishes that are not met
 */
export function scoreOf(
  { gravity, refusals, besides }: Doubt,
  { inletsUnfed, adapters, adaptersToBring, outletLeftA }: Taken,
  units: number,
  roomLeftM: number,
  demand: DemandFigures,
  leakageLeftMa: number,
  unmet: number,
): Score {
  const { unbalanceA } = demand;
  // Limits that are not assessed rank behind anything known.
  const marginShare = demand.marginShare ?? -1;
  return [
    gravity,
    refusals,
    besides,
    units,
    adaptersToBring,
    inletsUnfed,
    adapters,
    inSteps(roomLeftM, 2),
    outletLeftA,
    inSteps(marginShare, 0.1),
    inSteps(leakageLeftMa, 10),
    inSteps(unbalanceA, 30),
    unmet,
    roomLeftM,
    marginShare,
    unbalanceA,
  ];
}

/** The score of the same with other doubt. */
export function withDoubt(score: Score, { gravity, refusals, besides }: Doubt): Score {
  return [gravity, refusals, besides, ...score.slice(3)];
}

/** Negative where `a` is the better one. */
export function compareScores(a: Score, b: Score): number {
  for (let i = 0; i < signs.length; i++) {
    const difference = (a[i] ?? 0) - (b[i] ?? 0);
    if (difference !== 0) return difference * (signs[i] ?? 1);
  }
  return 0;
}

/** Whether the best that a way can still come to is behind a score, whatever its demand, its cords and wishes say. */
export function isBehind(least: Doubt, taken: Taken, units: number, roomLeftM: number, score: Score): boolean {
  if (least.gravity !== score[0]) return least.gravity > (score[0] ?? 0);
  if (least.refusals !== score[1]) return least.refusals > (score[1] ?? 0);
  if (least.besides !== score[2]) return least.besides > (score[2] ?? 0);
  if (units !== score[3]) return units > (score[3] ?? 0);
  if (taken.adaptersToBring !== score[4]) return taken.adaptersToBring > (score[4] ?? 0);
  if (taken.inletsUnfed !== score[5]) return taken.inletsUnfed > (score[5] ?? 0);
  if (taken.adapters !== score[6]) return taken.adapters > (score[6] ?? 0);
  const inRoom = inSteps(roomLeftM, 2);
  if (inRoom !== score[7]) return inRoom > (score[7] ?? 0);
  return taken.outletLeftA > (score[8] ?? 0);
}

/** A score with the names of its parts, for people. */
export function namedScore(score: Score): ScorePart[] {
  return parts.map((part, i) => ({ ...part, value: score[i] ?? 0 }));
}

// The last bits of a sum must not push a value into the step below.
function inSteps(value: number, step: number): number {
  return Math.floor(value / step + 1e-9) * step;
}
