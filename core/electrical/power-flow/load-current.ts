import type { NonlinearLoad } from './equations.ts';

/** The volts across a load, from the vector of unknowns. */
export function voltsAcross(load: NonlinearLoad, unknowns: Float64Array, part: 0 | 1): number {
  const from = load.fromUnknown < 0 ? 0 : (unknowns[2 * load.fromUnknown + part] as number);
  const to = load.toUnknown < 0 ? 0 : (unknowns[2 * load.toUnknown + part] as number);
  return from - to;
}

/**
 * The current into a load at volts re + j im, in `out[0..1]`.
 * Constant power: conj(S / V). Constant current: conj(S / V) * |V|, with S the current times 1 V.
 */
export function loadCurrent(load: NonlinearLoad, re: number, im: number, out: Float64Array): void {
  const square = re * re + im * im;
  const over = load.constantCurrent ? Math.sqrt(square) : square;
  if (over === 0) {
    out[0] = 0;
    out[1] = 0;
    return;
  }
  out[0] = (load.powerW * re + load.reactivePowerVar * im) / over;
  out[1] = (load.powerW * im - load.reactivePowerVar * re) / over;
}

/**
 * The derivative of that current as a real 2 x 2 block, in `out[0..3]`: it depends on the volts and on their conjugate,
 * so it is not one complex number.
 */
export function loadDerivative(load: NonlinearLoad, re: number, im: number, out: Float64Array): void {
  const p = load.powerW;
  const q = load.reactivePowerVar;
  const square = re * re + im * im;
  const over = load.constantCurrent ? Math.sqrt(square) : square;
  if (over === 0) {
    out.fill(0, 0, 4);
    return;
  }
  // I = n(V) / over(V): d I = d n / over - n d over / over^2, with d over = slope * (re d re + im d im).
  const slope = load.constantCurrent ? 1 / over : 2;
  const alongRe = ((p * re + q * im) * slope) / (over * over);
  const alongIm = ((p * im - q * re) * slope) / (over * over);
  out[0] = p / over - alongRe * re;
  out[1] = q / over - alongRe * im;
  out[2] = -q / over - alongIm * re;
  out[3] = p / over - alongIm * im;
}
