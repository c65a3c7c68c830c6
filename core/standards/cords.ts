import type { Source } from './source.ts';

const metresPerFoot = 0.3048;

export const usualCordLengthSource: Source = { title: 'common practice', fromMemory: true };

/** Lengths of cord sets on sale: 12, 25, 40 and 50 ft, the last being the usual one (common practice). */
export const usualCordLengthsM: readonly number[] = [12, 25, 40, 50].map((feet) => feet * metresPerFoot);

/**
 * Ampacity of one size of flexible cord at 30 C. Column A is for three current-carrying conductors, column B for two. A
 * neutral that carries only the unbalance of two opposite lines does not count; with two lines of 208Y/120 it does.
 */
export interface CordRow {
  readonly sizeAwg: string;
  readonly threeCarryingA: number;
  readonly twoCarryingA: number;
}

export const cordSource: Source = { title: 'NEC Table 400.5(A)(1), columns A and B', fromMemory: true };

export const cordRows: readonly CordRow[] = [
  { sizeAwg: '18', threeCarryingA: 7, twoCarryingA: 10 },
  { sizeAwg: '16', threeCarryingA: 10, twoCarryingA: 13 },
  { sizeAwg: '14', threeCarryingA: 15, twoCarryingA: 18 },
  { sizeAwg: '12', threeCarryingA: 20, twoCarryingA: 25 },
  { sizeAwg: '10', threeCarryingA: 25, twoCarryingA: 30 },
  { sizeAwg: '8', threeCarryingA: 35, twoCarryingA: 40 },
  { sizeAwg: '6', threeCarryingA: 45, twoCarryingA: 55 },
  { sizeAwg: '4', threeCarryingA: 60, twoCarryingA: 70 },
  { sizeAwg: '2', threeCarryingA: 80, twoCarryingA: 95 },
];

const bySize = new Map(cordRows.map((row) => [row.sizeAwg, row]));

/** Ampacity of a flexible cord, A; null where the table has no such size. */
export function cordAmpacityA(sizeAwg: string, currentCarryingConductors: 2 | 3): number | null {
  const row = bySize.get(sizeAwg);
  if (row === undefined) return null;
  return currentCarryingConductors === 2 ? row.twoCarryingA : row.threeCarryingA;
}
