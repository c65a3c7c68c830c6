import { magnitude, minus, type Phasor, plus, scaledTo, zero } from './phasor.ts';

/**
 * Residual current at each outlet's ground-fault device when two outlets feed one inlet and their neutral paths are
 * equal: half the phasor difference of the two line currents, A. The neutral current halves, the line currents do not.
 * @source Kirchhoff's current law
 */
export function combinerResidualA(leg1: Phasor, leg2: Phasor): number {
  return magnitude(minus(leg1, leg2)) / 2;
}

/** Current in a neutral that serves these line currents, A. */
export function neutralA(legs: readonly Phasor[]): number {
  return magnitude(legs.reduce(plus, zero));
}

/**
 * The largest neutral current when each line may carry anything from nothing to its limit, A. The magnitude of a sum
 * is convex, so that the largest is found where every line carries all or nothing. An unknown phasor (null) is taken in
 * line with the sum.
 */
export function worstNeutralA(limits: readonly { readonly phasor: Phasor | null; readonly limitA: number }[]): number {
  let alongA = 0;
  const known: Phasor[] = [];
  for (const { phasor, limitA } of limits) {
    if (phasor === null) alongA += limitA;
    else known.push(scaledTo(phasor, limitA));
  }
  let worst = 0;
  for (let chosen = 0; chosen < 1 << known.length; chosen++) {
    worst = Math.max(worst, neutralA(known.filter((_, i) => (chosen & (1 << i)) !== 0)));
  }
  return worst + alongA;
}
