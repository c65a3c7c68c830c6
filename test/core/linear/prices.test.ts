import { expect, it } from 'vitest';
import { modelBuilder } from '../../../core/linear/model-builder.ts';
import { price } from '../../../core/linear/prices.ts';
import { randomOf } from '../../support/plan-marina.ts';

interface Tiny {
  readonly groupOf: number[];
  readonly isForced: boolean[];
  readonly costs: number[];
  readonly rows: { readonly columns: number[]; readonly amounts: number[]; readonly most: number }[];
}

function tinyOf(seed: number): Tiny {
  const random = randomOf(seed);
  const whole = (below: number) => Math.floor(random() * below);
  const isForced = Array.from({ length: 4 }, () => random() < 0.3);
  const groupOf = isForced.flatMap((_, group) => Array.from({ length: 1 + whole(3) }, () => group));
  const costs = groupOf.map(() => 3 - whole(12));
  const rows = Array.from({ length: 5 }, () => {
    const columns = groupOf.flatMap((_, column) => (random() < 0.6 ? [column] : []));
    return { columns, amounts: columns.map(() => 1 + whole(3)), most: whole(5) };
  });
  return { groupOf, isForced, costs, rows };
}

/** Every choice of at most one column a group, tried: the least sum of all that keep the rows, and of those that take a column. */
function leastOf({ groupOf, isForced, costs, rows }: Tiny, with_: number | null): number {
  let least = Number.POSITIVE_INFINITY;
  const visit = (group: number, taken: readonly number[]) => {
    if (group === isForced.length) {
      const keeps = rows.every(
        ({ columns, amounts, most }) =>
          columns.reduce((sum, column, i) => sum + (taken.includes(column) ? (amounts[i] ?? 0) : 0), 0) <= most,
      );
      if (keeps && (with_ === null || taken.includes(with_)))
        least = Math.min(
          least,
          taken.reduce((sum, column) => sum + (costs[column] ?? 0), 0),
        );
      return;
    }
    if (!isForced[group]) visit(group + 1, taken);
    groupOf.forEach((of, column) => {
      if (of === group) visit(group + 1, [...taken, column]);
    });
  };
  visit(0, []);
  return least;
}

// Weak duality (any textbook of integer programming): whatever the prices, the relaxed sum is no more than the least.
it.each(Array.from({ length: 60 }, (_, i) => i + 1))('bounds every choice, tried one by one: %i', (seed) => {
  const tiny = tinyOf(seed);
  const builder = modelBuilder();
  for (const _ of tiny.groupOf) builder.addColumn(0, 1);
  for (const { columns, amounts, most } of tiny.rows) builder.addRow(Number.NEGATIVE_INFINITY, most, columns, amounts);
  const model = builder.build();
  const ask = (known: number) =>
    price({
      model,
      groupOf: Int32Array.from(tiny.groupOf),
      isForced: tiny.isForced,
      costs: Float64Array.from(tiny.costs),
      known,
      goOn: () => true,
    });
  const least = leastOf(tiny, null);
  for (const known of [Number.POSITIVE_INFINITY, Number.isFinite(least) ? least + 4 : 100]) {
    const { bound, boundWith, best } = ask(known);
    expect(bound).toBeLessThanOrEqual(least + 1e-6);
    boundWith.forEach((of, column) => {
      expect(of).toBeLessThanOrEqual(leastOf(tiny, column) + 1e-6);
    });
    if (best === null) continue;
    const sum = best.reduce((total, column) => total + (tiny.costs[column] ?? 0), 0);
    expect(sum).toBeLessThan(known);
    expect(sum).toBeGreaterThanOrEqual(least);
    for (const { columns, amounts, most } of tiny.rows)
      expect(
        columns.reduce((total, column, i) => total + (best.includes(column) ? (amounts[i] ?? 0) : 0), 0),
      ).toBeLessThanOrEqual(most);
  }
});
