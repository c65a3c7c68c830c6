/** What an inventory may not be. A value that is merely unknown (null) is never a fault. */
type InventoryRule =
  | 'duplicateId'
  | 'duplicateLabel'
  | 'unknownReference'
  | 'quantity' // negative, zero where that makes no sense, or not a finite number
  | 'circle'
  | 'serviceWithParent'
  | 'parentMissing'
  | 'systemMissing'
  | 'systemChanged'
  | 'noLines'
  | 'lineTwice'
  | 'lineNotSupplied'
  | 'lineCount'
  | 'otherDock'
  | 'noUnit'
  | 'unitTwice'
  | 'faceInComposite'
  | 'faceLength'
  | 'faceRange'
  | 'reachTwice'
  | 'builtInId'
  | 'practiceRows'
  | 'adapterFitting'
  | 'period'
  | 'pattern';

/** One fault of an inventory document. `pointer` is a JSON Pointer (RFC 6901) such as `/outlets/12/lines`. */
export interface InventoryFault {
  readonly pointer: string;
  readonly rule: InventoryRule;
  /** Names the thing, its value, its limit and what to do. */
  readonly message: string;
}

export type ReportFault = (pointer: string, rule: InventoryRule, message: string) => void;

interface Named {
  readonly id: string;
  readonly label: string;
}

/** `outlet "A" (a1a)`: what people call it and, where that differs, its id. */
export function named(kind: string, item: Named): string {
  return item.label === item.id ? `${kind} "${item.id}"` : `${kind} "${item.label}" (${item.id})`;
}

/** Reports ids that occur more than once, at each later occurrence. */
export function reportDuplicateIds(
  report: ReportFault,
  pointer: string,
  kind: string,
  items: readonly { readonly id: string }[],
): void {
  const seen = new Set<string>();
  items.forEach((item, index) => {
    if (!seen.has(item.id)) seen.add(item.id);
    else {
      report(
        `${pointer}/${index}/id`,
        'duplicateId',
        `The id "${item.id}" is already that of another ${kind} of this marina: give this one an id of its own.`,
      );
    }
  });
}

/** Reports labels that occur more than once within one scope (a dock, a pedestal). A null scope is not compared. */
export function reportDuplicateLabels<T extends Named>(
  report: ReportFault,
  pointer: string,
  kind: string,
  items: readonly T[],
  scopeOf: (item: T) => string | null,
): void {
  const firstOfScope = new Map<string, Map<string, T>>();
  items.forEach((item, index) => {
    const scope = scopeOf(item);
    if (scope === null) return;
    let firstOf = firstOfScope.get(scope);
    if (firstOf === undefined) {
      firstOf = new Map();
      firstOfScope.set(scope, firstOf);
    }
    const first = firstOf.get(item.label);
    if (first === undefined) firstOf.set(item.label, item);
    else {
      report(
        `${pointer}/${index}/label`,
        'duplicateLabel',
        `The label "${item.label}" of ${kind} "${item.id}" is also that of ${kind} "${first.id}" of ${scope}. People could not tell them apart: rename one.`,
      );
    }
  });
}

/** `any` allows below zero: a tide below datum, a depth that dries. */
export type QuantityRange = 'positive' | 'notNegative' | 'any';

/** Reports a quantity that is not a finite number or out of its range. Null is unknown and passes. */
export function reportQuantity(
  report: ReportFault,
  pointer: string,
  what: string,
  value: number | null,
  unit: string,
  range: QuantityRange,
): void {
  if (value === null) return;
  const shown = unit === '' ? `${value}` : `${value} ${unit}`;
  if (!Number.isFinite(value)) {
    report(pointer, 'quantity', `The ${what} (${shown}) must be a finite number. Maybe the imported column is empty.`);
  } else if (range === 'positive' && value <= 0) {
    report(
      pointer,
      'quantity',
      `The ${what} (${shown}) must be above 0: correct it, or enter null where it is unknown.`,
    );
  } else if (range === 'notNegative' && value < 0) {
    report(pointer, 'quantity', `The ${what} (${shown}) must not be below 0: correct it.`);
  }
}
