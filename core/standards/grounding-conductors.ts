import type { Source } from './source.ts';

export const groundingSource: Source = {
  title: 'NEC Table 250.122 and 250.122(B), equipment grounding conductors; 555.37(B), 12 AWG at least',
  fromMemory: true,
};

interface GroundingRow {
  /** Breaker ahead of the circuit, up to and with, A. */
  readonly toA: number;
  readonly copper: string;
  readonly aluminium: string;
}

/** AWG, and kcmil from 250 on, as the conductor tables name sizes. */
export const groundingRows: readonly GroundingRow[] = [
  { toA: 15, copper: '14', aluminium: '12' },
  { toA: 20, copper: '12', aluminium: '10' },
  { toA: 60, copper: '10', aluminium: '8' },
  { toA: 100, copper: '8', aluminium: '6' },
  { toA: 200, copper: '6', aluminium: '4' },
  { toA: 300, copper: '4', aluminium: '2' },
  { toA: 400, copper: '3', aluminium: '1' },
  { toA: 500, copper: '2', aluminium: '1/0' },
  { toA: 600, copper: '1', aluminium: '2/0' },
  { toA: 800, copper: '1/0', aluminium: '3/0' },
  { toA: 1000, copper: '2/0', aluminium: '4/0' },
  { toA: 1200, copper: '3/0', aluminium: '250' },
  { toA: 1600, copper: '4/0', aluminium: '350' },
  { toA: 2000, copper: '250', aluminium: '400' },
  { toA: 2500, copper: '350', aluminium: '600' },
  { toA: 3000, copper: '400', aluminium: '600' },
];

/** The size that the table prints for a breaker; null beyond its rows. */
export function groundingSize(deviceA: number, material: 'copper' | 'aluminium'): string | null {
  return groundingRows.find(({ toA }) => deviceA <= toA)?.[material] ?? null;
}
