import type { DemandFigures } from './demand-figures.ts';
import type { Doubt } from './doubt.ts';
import type { ScorePart } from './options.ts';

/** What is known of a way to berth a boat before its demand and cords are judged: the rest can only make it worse. */
export interface LeastWorth {
  /** 0 confirmed, 1 confirmed with cautions, 2 unconfirmed, 3 refused. */
  readonly gravity: number;
  /** How many rules refuse. */
  readonly refusals: number;
  /** Power inlets that the hook-up leaves out. */
  readonly inletsUnfed: number;
  /** Units of space that nobody else can have meanwhile. */
  readonly units: number;
  readonly adaptersToBring: number;
  readonly adapters: number;
  /** Length and width left over, with what lying there cuts off from a gap on a face, m. */
  readonly roomLeftM: number;
  /** Rating of the outlets taken beyond what the boat's inlets can use, A. */
  readonly outletLeftA: number;
}

/** A score: the values of `parts`, in their order. */
export type Score = readonly number[];

/**
 * The parts of a score, compared in this order. Continuous parts enter in steps first, so that 10 cm of length never
 * outweighs the boater's wish, and exactly at the end, so that equals are told apart.
 */
const parts: readonly Omit<ScorePart, 'value'>[] = [
  { name: 'power in doubt', unit: 'step', better: 'lower' },
  { name: 'refusals', unit: 'rule', better: 'lower' },
  { name: 'units of space taken', unit: 'unit', better: 'lower' },
  { name: 'adapters to bring', unit: 'piece', better: 'lower' },
  { name: 'inlets without power', unit: 'inlet', better: 'lower' },
  { name: 'adapters', unit: 'piece', better: 'lower' },
  { name: 'room left over, by 2 m', unit: 'm', better: 'lower' },
  { name: 'outlet rating left over', unit: 'A', better: 'lower' },
  { name: 'margin left, by tenths', unit: 'share', better: 'higher' },
  { name: 'unbalance of lines, by 30 A', unit: 'A', better: 'lower' },
  { name: 'wishes unmet', unit: 'wish', better: 'lower' },
  { name: 'room left over', unit: 'm', better: 'lower' },
  { name: 'margin left', unit: 'share', better: 'higher' },
  { name: 'unbalance of lines', unit: 'A', better: 'lower' },
];

const signs = parts.map(({ better }) => (better === 'lower' ? 1 : -1));

export function scoreOf(worth: LeastWorth, { gravity, refusals }: Doubt, demand: DemandFigures, unmet: number): Score {
  const { inletsUnfed, units, adaptersToBring, adapters, roomLeftM, outletLeftA } = worth;
  const { unbalanceA } = demand;
  // Limits that are not assessed rank behind anything known.
  const marginShare = demand.marginShare ?? -1;
  return [
    gravity,
    refusals,
    units,
    adaptersToBring,
    inletsUnfed,
    adapters,
    inSteps(roomLeftM, 2),
    outletLeftA,
    inSteps(marginShare, 0.1),
    inSteps(unbalanceA, 30),
    unmet,
    roomLeftM,
    marginShare,
    unbalanceA,
  ];
}

/** Negative where `a` is the better one. */
export function compareScores(a: Score, b: Score): number {
  for (let i = 0; i < signs.length; i++) {
    const difference = (a[i] ?? 0) - (b[i] ?? 0);
    if (difference !== 0) return difference * (signs[i] ?? 1);
  }
  return 0;
}

/** Whether the best that a way can still come to is behind a score. */
export function isBehind(least: LeastWorth, score: Score): boolean {
  if (least.gravity !== score[0]) return least.gravity > (score[0] ?? 0);
  if (least.refusals !== score[1]) return least.refusals > (score[1] ?? 0);
  if (least.units !== score[2]) return least.units > (score[2] ?? 0);
  if (least.adaptersToBring !== score[3]) return least.adaptersToBring > (score[3] ?? 0);
  if (least.inletsUnfed !== score[4]) return least.inletsUnfed > (score[4] ?? 0);
  if (least.adapters !== score[5]) return least.adapters > (score[5] ?? 0);
  const roomLeftM = inSteps(least.roomLeftM, 2);
  if (roomLeftM !== score[6]) return roomLeftM > (score[6] ?? 0);
  return least.outletLeftA > (score[7] ?? 0);
}

/** A score with the names of its parts, for people. */
export function namedScore(score: Score): ScorePart[] {
  return parts.map((part, i) => ({ ...part, value: score[i] ?? 0 }));
}

// The last bits of a sum must not push a value into the step below.
function inSteps(value: number, step: number): number {
  return Math.floor(value / step + 1e-9) * step;
}
