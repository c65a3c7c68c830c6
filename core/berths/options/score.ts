import type { ScorePart } from './options.ts';

/** What one way of berthing a boat is worth, before it is put in order. */
export interface Worth {
  /** 0 confirmed, 1 confirmed with cautions, 2 unconfirmed, 3 refused. */
  readonly gravity: number;
  /** How many rules refuse. */
  readonly refusals: number;
  /** Units of space that nobody else can have meanwhile. */
  readonly units: number;
  readonly adaptersToBring: number;
  readonly adapters: number;
  /** Length and width left over, with what lying there cuts off from a gap on a face, m. */
  readonly roomLeftM: number;
  /** Rating of the outlets taken beyond what the boat's inlets can use, A. */
  readonly outletLeftA: number;
  /** Share of the tightest limit above the outlets that is left; null where none is assessed. */
  readonly marginShare: number | null;
  /** Greatest less smallest load of the lines that share the outlets' feeder, the boat included, A. */
  readonly unbalanceA: number;
  readonly unmetWishes: number;
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

export function scoreOf(worth: Worth): Score {
  const { roomLeftM } = worth;
  // Limits that are not assessed rank behind anything known.
  const marginShare = worth.marginShare ?? -1;
  return [
    worth.gravity,
    worth.refusals,
    worth.units,
    worth.adaptersToBring,
    worth.adapters,
    inSteps(roomLeftM, 2),
    worth.outletLeftA,
    inSteps(marginShare, 0.1),
    inSteps(worth.unbalanceA, 30),
    worth.unmetWishes,
    roomLeftM,
    marginShare,
    worth.unbalanceA,
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

/** A score with the names of its parts, for people. */
export function namedScore(score: Score): ScorePart[] {
  return parts.map((part, i) => ({ ...part, value: score[i] ?? 0 }));
}

// The last bits of a sum must not push a value into the step below.
function inSteps(value: number, step: number): number {
  return Math.floor(value / step + 1e-9) * step;
}
