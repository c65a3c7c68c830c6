import type { Finding, FindingLevel, MissingFact, RuleName, Subject } from '../../findings.ts';
import type { InventoryIndex } from '../index-inventory.ts';
import type { Berth, Equipment, Outlet, Pedestal } from '../inventory.ts';

/** One named question put to a legal inventory. Its findings carry its name as their rule. */
export interface InventoryCheck {
  readonly name: RuleName;
  /** What it looks for, for a report that also lists checks which found nothing. */
  readonly looksFor: string;
  readonly check: (index: InventoryIndex) => Finding[];
}

interface Found {
  readonly level: FindingLevel;
  readonly subject: Subject;
  readonly actual?: number | string | null;
  readonly limit?: number | string | null;
  readonly unit?: string;
  readonly message: string;
  readonly missingFact?: MissingFact;
}

/** A check that looks at one item after the other; `source` is that of its limit. */
export function checkEach<T>(
  name: RuleName,
  looksFor: string,
  source: string,
  itemsOf: (index: InventoryIndex) => readonly T[],
  look: (item: T, index: InventoryIndex) => Found | null,
): InventoryCheck {
  return {
    name,
    looksFor,
    check: (index) =>
      itemsOf(index).flatMap((item) => {
        const found = look(item, index);
        return found === null ? [] : [{ rule: name, actual: null, limit: null, unit: null, source, ...found }];
      }),
  };
}

/** A finding that asks for a fact nobody has stated. */
export function missing(subject: Subject, fact: string, question: string, message: string): Found {
  return { level: 'confirm', subject, message, missingFact: { subject, fact, question } };
}

export const judgement = "this project's own reading";

export function outletSubject(outlet: Outlet, { pedestals }: InventoryIndex): Subject {
  const pedestal = pedestals.get(outlet.pedestalId);
  return { kind: 'outlet', id: outlet.id, label: pedestal ? `${pedestal.label}-${outlet.label}` : outlet.label };
}

export function equipmentSubject(part: Equipment): Subject {
  return { kind: 'equipment', id: part.id, label: part.label };
}

export function pedestalSubject(pedestal: Pedestal): Subject {
  return { kind: 'pedestal', id: pedestal.id, label: pedestal.label };
}

export function berthSubject(berth: Berth): Subject {
  return { kind: 'berth', id: berth.id, label: berth.label };
}
