import type { Period } from '../periods.ts';

/** What takes a unit of space or an outlet for a period. The database forbids two of these at once. */
export interface SpaceUse extends Period {
  readonly unitId: string;
  /** Metre range on a face; 0 to 1 for every other unit, which is always taken whole. */
  readonly fromM: number;
  readonly untilM: number;
  readonly by: UsedBy;
}

export interface OutletUse extends Period {
  readonly outletId: string;
  readonly by: UsedBy;
  /** What the boat says it draws through this outlet, VA; null: nobody said, its rating counts. */
  readonly statedVa: number | null;
  /** What the boat leaks through this outlet as last read there, mA. Absent: nobody has read it. */
  readonly leakageMa?: number;
}

export interface UsedBy {
  readonly kind: 'assignment' | 'holding' | 'outOfService' | 'group';
  readonly id: string;
  /** Stay, holder, reason or group, for people. */
  readonly label: string;
}

/** Adapters lent or reserved, by stock entry. */
export interface StockUse extends Period {
  readonly stockId: string;
  readonly quantity: number;
  readonly assignmentId: string;
}
