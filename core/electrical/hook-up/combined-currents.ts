import { addComplex, type Complex, complexZero, magnitude, subtractComplex, withMagnitude } from '../complex.ts';

/**
 * Residual current at each outlet's ground-fault device when two outlets feed one inlet and their neutral paths are
 * equal: half the phasor difference of the two line currents, A. The neutral current halves, the line currents do not.
 * @source Kirchhoff's current law
 */
export function combinerResidualA(leg1: Complex, leg2: Complex): number {
  return magnitude(subtractComplex(leg1, leg2)) / 2;
}

/** Current in a neutral that serves these line currents, A. */
export function neutralA(legs: readonly Complex[]): number {
  return magnitude(legs.reduce(addComplex, complexZero));
}

/**
 * The largest neutral current when each line may carry anything from nothing to its limit, A. The magnitude of a sum
 * is convex, so that the largest is found where every line carries all or nothing. An unknown phasor (null) is taken in
 * line with the sum.
 */
export function worstNeutralA(limits: readonly { readonly phasor: Complex | null; readonly limitA: number }[]): number {
  let alongA = 0;
  const known: Complex[] = [];
  for (const { phasor, limitA } of limits) {
    if (phasor === null) alongA += limitA;
    else known.push(withMagnitude(phasor, limitA));
  }
  let worst = 0;
  for (let chosen = 0; chosen < 1 << known.length; chosen++) {
    worst = Math.max(worst, neutralA(known.filter((_, i) => (chosen & (1 << i)) !== 0)));
  }
  return worst + alongA;
}
