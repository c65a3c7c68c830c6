import type { CheckInOutcome } from '../../core/check-in/check-in.ts';
import type { ReadingName } from '../../core/check-in/readings.ts';
import type { SupplyOutlet } from '../../core/electrical/hook-up/supply-outlet.ts';
import type { Finding } from '../../core/findings.ts';
import type { AdapterKind } from '../../core/standards/adapter-kind.ts';

// The shift as a phone reads it: what the API answers, in types that a page's script can use without the service's own.

export interface ShiftAdapter {
  readonly kindId: string;
  readonly from: 'aboard' | 'stock';
  readonly stockId: string | null;
}

export interface ShiftLoan {
  readonly id: string;
  readonly stockId: string;
  readonly label: string;
  readonly stayId: string;
  readonly boatName: string;
  readonly dueAt: string;
  readonly isOverdue: boolean;
}

export interface ShiftPlace {
  readonly berthId: string;
  readonly berthLabel: string;
  readonly dockLabel: string;
  readonly orientation: 'bowIn' | 'sternIn';
  readonly sideTo: 'port' | 'starboard' | null;
  readonly outletIds: readonly string[];
  readonly keptOutletIds: readonly string[];
  readonly plannedOutletIds: readonly string[];
  readonly plannedAdapters: readonly ShiftAdapter[];
  readonly deskFindings: readonly (Omit<Finding, 'rule'> & { readonly rule: string })[];
}

export interface ShiftStay {
  readonly stayId: string;
  /** Facts with their times as text. */
  readonly boat: { readonly id: string; readonly name: string } & Readonly<Record<string, unknown>>;
  readonly contactName: string;
  readonly contactPhone: string | null;
  readonly note: string;
  readonly state: string;
  readonly arrival: string;
  readonly departure: string;
  readonly place: ShiftPlace | null;
  readonly loans: readonly ShiftLoan[];
  readonly checkedIn: {
    readonly at: string;
    readonly outcome: CheckInOutcome | null;
    readonly energised: boolean;
  } | null;
  readonly troubles: number;
}

export interface ShiftDocument {
  readonly loadedAt: string;
  readonly holdsUntil: string;
  readonly seq: number;
  readonly inventoryRevision: number;
  readonly timeZone: string;
  readonly settings: { readonly mandatoryReadings: readonly ReadingName[] };
  readonly refuseCordBelowBreaker: boolean;
  readonly stays: readonly ShiftStay[];
  readonly outlets: readonly (Omit<SupplyOutlet, 'system'> & {
    readonly systemId: string | null;
    readonly troubles: number;
  })[];
  readonly adapterKinds: readonly AdapterKind[];
  readonly stock: readonly {
    readonly id: string;
    readonly label: string;
    readonly adapterKindId: string;
    readonly free: number;
    readonly reservedFor: readonly { readonly stayId: string; readonly quantity: number }[];
  }[];
  readonly overdue: readonly ShiftLoan[];
  readonly berths: readonly {
    readonly id: string;
    readonly label: string;
    readonly isFace: boolean;
    readonly outlets: readonly { readonly id: string; readonly label: string }[];
  }[];
}
