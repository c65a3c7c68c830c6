import { toldValue } from '../../berths/told-value.ts';
import type { Chance } from '../random.ts';
import type { ReplayRequest } from './request.ts';

/** How the coming seasons differ from the one recorded. */
export interface SeasonChange {
  /** 0.1: a tenth more calls. */
  readonly growth: number;
  /** Boats longer than these metres call so many times as often (1: as before). */
  readonly longerThanM: number;
  readonly longerFactor: number;
}

export const sameSeason: SeasonChange = { growth: 0, longerThanM: 0, longerFactor: 1 };

/**
 * A season drawn from the recorded one: each recorded call comes a random number of times (Poisson, on average once,
 * more with growth and for longer boats). So weekdays, holidays, lengths of stay and boats keep their distribution, and
 * busy and slack seasons come out by chance.
 */
export function drawSeason(requests: readonly ReplayRequest[], change: SeasonChange, chance: Chance): ReplayRequest[] {
  const drawn: ReplayRequest[] = [];
  for (const request of requests) {
    const lengthM = toldValue(request.boat.lengthOverallM) ?? 0;
    const mean = (1 + change.growth) * (lengthM > change.longerThanM ? change.longerFactor : 1);
    const times = poisson(mean, chance);
    for (let copy = 0; copy < times; copy++) {
      const id = copy === 0 ? request.id : `${request.id}~${copy}`;
      drawn.push({ ...request, id, boat: { ...request.boat, id } });
    }
  }
  return drawn;
}

/** Knuth's: the mean is small. */
function poisson(mean: number, chance: Chance): number {
  const least = Math.exp(-mean);
  let product = chance();
  let count = 0;
  while (product > least) {
    product *= chance();
    count++;
  }
  return count;
}

/** Low, middle and high of figures over seasons: the tenth, fiftieth and ninetieth of a hundred. */
export function rangeOf(values: readonly number[]): {
  readonly low: number;
  readonly expected: number;
  readonly high: number;
} {
  const sorted = [...values].sort((a, b) => a - b);
  const at = (share: number) =>
    sorted[Math.min(sorted.length - 1, Math.max(0, Math.ceil(share * sorted.length) - 1))] ?? 0;
  return { low: at(0.1), expected: at(0.5), high: at(0.9) };
}
