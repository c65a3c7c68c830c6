import type { PlacedAdapter } from './hook-up.ts';

/** One entry of what may be used: aboard, or in the dock's stock and not lent. */
export interface AvailableAdapter {
  readonly kindId: string;
  readonly from: PlacedAdapter['from'];
  readonly stockId: string | null;
  readonly quantity: number;
}
