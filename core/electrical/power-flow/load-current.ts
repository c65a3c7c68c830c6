import type { NonlinearLoads } from './equations.ts';

/** One part (0 real, 1 imaginary) of the volts across a load, from the vector of unknowns. */
export function voltsAcross(loads: NonlinearLoads, at: number, unknowns: Float64Array, part: 0 | 1): number {
  const from = loads.fromUnknown[at] as number;
  const to = loads.toUnknown[at] as number;
  return (from < 0 ? 0 : (unknowns[2 * from + part] as number)) - (to < 0 ? 0 : (unknowns[2 * to + part] as number));
}

/**
 * The current into a load at volts re + j im, in `out[0..1]`.
 * Constant power: conj(S / V). Constant current: conj(S / V) * |V|, with S the current times 1 V.
 */
export function loadCurrent(loads: NonlinearLoads, at: number, re: number, im: number, out: Float64Array): void {
  const square = re * re + im * im;
  if (square === 0) {
    out[0] = 0;
    out[1] = 0;
    return;
  }
  const over = loads.isConstantCurrent[at] ? Math.sqrt(square) : square;
  const p = loads.powerW[at] as number;
  const q = loads.reactivePowerVar[at] as number;
  out[0] = (p * re + q * im) / over;
  out[1] = (p * im - q * re) / over;
}

/**
 * The derivative of that current as a real 2 x 2 block, in `out[0..3]`: it depends on the volts and on their conjugate,
 * so it is not one complex number.
 */
export function loadDerivative(loads: NonlinearLoads, at: number, re: number, im: number, out: Float64Array): void {
  const square = re * re + im * im;
  if (square === 0) {
    out.fill(0, 0, 4);
    return;
  }
  const p = loads.powerW[at] as number;
  const q = loads.reactivePowerVar[at] as number;
  const isConstantCurrent = loads.isConstantCurrent[at] === 1;
  const over = isConstantCurrent ? Math.sqrt(square) : square;
  // I = n(V) / over(V): d I = d n / over - n d over / over^2, with d over = slope * (re d re + im d im).
  const slope = isConstantCurrent ? 1 / over : 2;
  const alongRe = ((p * re + q * im) * slope) / (over * over);
  const alongIm = ((p * im - q * re) * slope) / (over * over);
  out[0] = p / over - alongRe * re;
  out[1] = q / over - alongRe * im;
  out[2] = -q / over - alongIm * re;
  out[3] = p / over - alongIm * im;
}

/** The admittance that takes a load's power at the given volts squared, times `factor`, as a block in `out[0..3]`. */
export function loadAsAdmittance(
  loads: NonlinearLoads,
  at: number,
  squareV: number,
  factor: number,
  out: Float64Array,
): void {
  const over = loads.isConstantCurrent[at] ? Math.sqrt(squareV) : squareV;
  const re = over > 0 ? (factor * (loads.powerW[at] as number)) / over : 0;
  const im = over > 0 ? (-factor * (loads.reactivePowerVar[at] as number)) / over : 0;
  out[0] = re;
  out[1] = -im;
  out[2] = im;
  out[3] = re;
}
