import { describe, expect, it } from 'vitest';
import { modelBuilder } from '../../../core/linear/model-builder.ts';
import { solve } from '../../../server/solver/solve.ts';

/** Items to a limit of weight: the textbook 0-1 knapsack. */
function knapsack(weights: readonly number[], values: readonly number[], limit: number) {
  const builder = modelBuilder();
  const columns = weights.map(() => builder.addColumn(0, 1));
  builder.addRow(Number.NEGATIVE_INFINITY, limit, columns, weights);
  builder.addLevel(
    { name: 'value', unit: 'point', sense: 'most', range: values.reduce((sum, value) => sum + value, 0) },
    columns,
    values,
  );
  return { builder, columns };
}

function bestByTrying(weights: readonly number[], values: readonly number[], limit: number): number {
  let best = 0;
  for (let chosen = 0; chosen < 2 ** weights.length; chosen++) {
    let weight = 0;
    let value = 0;
    weights.forEach((each, i) => {
      if ((chosen >> i) % 2 === 0) return;
      weight += each;
      value += values[i] ?? 0;
    });
    if (weight <= limit) best = Math.max(best, value);
  }
  return best;
}

describe('solve', () => {
  it('finds the same best as trying every choice', async () => {
    const weights = [12, 7, 11, 8, 9, 6, 5, 14, 3, 10];
    const values = [24, 13, 23, 15, 16, 11, 9, 28, 5, 19];
    const { builder } = knapsack(weights, values, 35);
    const solution = await solve(builder.build(), { timeLimitS: 20 });
    expect(solution.status).toBe('optimal');
    expect(solution.levels[0]).toMatchObject({ value: bestByTrying(weights, values, 35), proven: true });
  });

  it('gives nothing of an earlier level for a later one', async () => {
    const { builder, columns } = knapsack([1, 1, 1, 1], [1, 1, 1, 1], 2);
    builder.addLevel({ name: 'cost', unit: 'point', sense: 'least', range: 12 }, columns, [5, 1, 4, 2]);
    const solution = await solve(builder.build(), { timeLimitS: 20 });
    expect(solution.levels.map(({ value }) => value)).toEqual([2, 3]);
    expect(Array.from(solution.values ?? [])).toEqual([0, 1, 0, 1]);
  });

  it('says infeasible, and never throws', async () => {
    const { builder, columns } = knapsack([1, 1], [1, 1], 1);
    builder.addRow(2, 2, columns, [1, 1]);
    expect((await solve(builder.build(), { timeLimitS: 20 })).status).toBe('infeasible');
  });

  it('answers a model that is no model with a status', async () => {
    const { builder } = knapsack([1], [1], 1);
    const model = { ...builder.build(), columns: Int32Array.from([7]) };
    const solution = await solve(model, { timeLimitS: 20 });
    expect(solution.status).toBe('failed');
    expect(solution.message).not.toBeNull();
  });

  it('stops a hard model when asked, and keeps what it has found', async () => {
    const { model, start } = hardModel();
    const abort = new AbortController();
    const running = solve(model, { timeLimitS: 300, start, signal: abort.signal, onProgress: () => abort.abort() });
    const solution = await running;
    expect(solution.stopped).toBe(true);
    expect(solution.status).toBe('feasible');
    expect(solution.levels[0]?.value).not.toBeNull();
  });

  it('keeps the time limit and reports a bound', async () => {
    const { model, start } = hardModel();
    const solution = await solve(model, { timeLimitS: 2, start });
    expect(solution.status).toBe('feasible');
    const [level] = solution.levels;
    expect(level?.bound ?? 0).toBeLessThanOrEqual(level?.value ?? 0);
    expect(level?.proven).toBe(false);
  });
});

/** Market split: a few equations with random weights, known to defeat branch and bound (Cornuejols and Dawande, 1998). */
function hardModel() {
  const builder = modelBuilder();
  const size = 60;
  const columns = Array.from({ length: size }, () => builder.addColumn(0, 1));
  let seed = 7;
  const next = () => {
    seed = (seed * 1_103_515_245 + 12_345) % 2 ** 31;
    return seed % 100;
  };
  const slacks: number[] = [];
  for (let row = 0; row < 7; row++) {
    const weights = columns.map(next);
    const half = Math.floor(weights.reduce((sum, each) => sum + each, 0) / 2);
    const over = builder.addColumn(0, 10_000);
    const under = builder.addColumn(0, 10_000);
    slacks.push(over, under);
    builder.addRow(half, half, [...columns, over, under], [...weights, -1, 1]);
  }
  builder.addLevel(
    { name: 'missed', unit: 'point', sense: 'least', range: 140_000 },
    slacks,
    slacks.map(() => 1),
  );
  const model = builder.build();
  const start = new Float64Array(builder.columnCount());
  // Nothing chosen: every half is missing.
  for (let row = 0; row < 7; row++) start[size + 2 * row + 1] = model.rowLower[row] ?? 0;
  return { model, start };
}
