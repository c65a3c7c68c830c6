import type { LineName } from '../../standards/configuration.ts';

/** Appliances alike, each on or off in the chosen hour, independently of all others. */
export interface RandomLoad {
  readonly label: string;
  readonly count: number;
  /** Chance that one of them is on at a moment of the hour, 0 to 1. */
  readonly chance: number;
  /** What one of them adds to each line while it is on, A. */
  readonly lineA: Partial<Record<LineName, number>>;
}

/** A limit on the amperes of every line: breaker, conductor, bus. */
export interface LineLimit {
  readonly kind: string;
  readonly limitA: number;
}

/**
 * Throws where a figure is no figure: a chance outside 0 to 1, amperes below 0, a count that is not whole.
 * @throws RangeError that names the load and the value.
 */
export function requireSound(loads: readonly RandomLoad[]): void {
  for (const { label, count, chance, lineA } of loads) {
    if (!Number.isInteger(count) || count < 0)
      throw new RangeError(`"${label}" has the count ${count}. Give a whole number from 0 on.`);
    if (!(chance >= 0 && chance <= 1))
      throw new RangeError(`"${label}" is on with the chance ${chance}. Give a share from 0 to 1.`);
    for (const [line, amperes] of Object.entries(lineA)) {
      if (!(amperes >= 0 && Number.isFinite(amperes)))
        throw new RangeError(`"${label}" adds ${amperes} A to ${line}. Give amperes from 0 on.`);
    }
  }
}
