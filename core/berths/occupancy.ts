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
  /** Of a boat that by the book leaves before this use begins, and that nobody has seen to leave. */
  readonly overdue?: Overdue;
}

export interface Overdue {
  /** When its place ends by the book, epoch milliseconds. */
  readonly since: number;
  /** False: it is there when the period asked for begins. True: somebody has to look, for it may be gone by then. */
  readonly mayBeGone: boolean;
}

/** Adapters lent or reserved, by stock entry. */
export interface StockUse extends Period {
  readonly stockId: string;
  readonly quantity: number;
  readonly assignmentId: string;
}
