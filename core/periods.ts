/** Half-open periods `[from, until)` in epoch milliseconds. A stay that ends when another begins does not overlap it. */
export interface Period {
  readonly from: number;
  readonly until: number;
}

/** 9999-12-31T00:00:00Z: where a period without an end ends, so that every period has both bounds. */
export const openEnd = Date.UTC(9999, 11, 31);

export function overlaps(a: Period, b: Period): boolean {
  return a.from < b.until && b.from < a.until;
}

export function contains(outer: Period, inner: Period): boolean {
  return outer.from <= inner.from && inner.until <= outer.until;
}

/** What is left of `period` without `holes`, in order of time. Holes may overlap and come in any order. */
export function subtract(period: Period, holes: readonly Period[]): Period[] {
  const left: Period[] = [];
  let from = period.from;
  for (const hole of [...holes].sort((a, b) => a.from - b.from)) {
    if (hole.until <= from) continue;
    if (hole.from >= period.until) break;
    if (hole.from > from) left.push({ from, until: hole.from });
    from = Math.max(from, hole.until);
  }
  if (from < period.until) left.push({ from, until: period.until });
  return left;
}
