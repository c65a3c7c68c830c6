import { addComplex, type Complex, complexZero, magnitude, subtractComplex } from '../complex.ts';

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
