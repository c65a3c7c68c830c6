/** Metres `[fromM, untilM)` along a face. A boat that ends where another begins does not overlap it. */
export interface MetreRange {
  readonly fromM: number;
  readonly untilM: number;
}

/** Sums of decimal metres are off by their last bits; a micrometre is far below any tape measure. */
const toleranceM = 1e-6;

/** Whether `valueM` is truly above `limitM`. */
export function exceeds(valueM: number, limitM: number): boolean {
  return valueM > limitM + toleranceM;
}

/** Next full centimetre upward: a length that a person can be asked for and that is never too short. */
export function ceilCm(valueM: number): number {
  return Math.ceil(valueM * 100 - 1e-4) / 100;
}

/** As messages print it: `12.35 m`. */
export function metres(valueM: number): string {
  return `${valueM.toFixed(2)} m`;
}
