import type { LinearModel } from './linear-model.ts';

/** A model with some of its columns held at 0 and taken out. */
export interface RestrictedModel {
  readonly model: LinearModel;
  readonly fromFull: (values: Float64Array) => Float64Array;
  readonly toFull: (values: ArrayLike<number>) => Float64Array;
}

/** @param isKept whether a column stays; those taken out may be 0 */
export function restrictModel(full: LinearModel, isKept: (column: number) => boolean): RestrictedModel {
  const count = full.columnLower.length;
  const kept: number[] = [];
  const placeOf = new Int32Array(count).fill(-1);
  for (let column = 0; column < count; column++) if (isKept(column)) placeOf[column] = kept.push(column) - 1;
  const rowStarts: number[] = [0];
  const rowLower: number[] = [];
  const rowUpper: number[] = [];
  const columns: number[] = [];
  const values: number[] = [];
  for (let row = 0; row < full.rowLower.length; row++) {
    const [lower, upper] = [full.rowLower[row] ?? 0, full.rowUpper[row] ?? 0];
    const before = columns.length;
    let most = 0;
    for (let k = full.rowStarts[row] ?? 0; k < (full.rowStarts[row + 1] ?? 0); k++) {
      const column = full.columns[k] ?? 0;
      const place = placeOf[column] ?? -1;
      if (place < 0) continue;
      const value = full.values[k] ?? 0;
      columns.push(place);
      values.push(value);
      most += Math.max(0, value * (full.columnUpper[column] ?? 0), value * (full.columnLower[column] ?? 0));
    }
    // What is left can no longer pass the row.
    if (lower === Number.NEGATIVE_INFINITY && most <= upper) {
      columns.length = before;
      values.length = before;
      continue;
    }
    rowLower.push(lower);
    rowUpper.push(upper);
    rowStarts.push(columns.length);
  }
  const pick = (of: Float64Array) => Float64Array.from(kept, (column) => of[column] ?? 0);
  return {
    model: {
      columnLower: pick(full.columnLower),
      columnUpper: pick(full.columnUpper),
      rowLower: Float64Array.from(rowLower),
      rowUpper: Float64Array.from(rowUpper),
      rowStarts: Int32Array.from(rowStarts),
      columns: Int32Array.from(columns),
      values: Float64Array.from(values),
      levels: full.levels.map((level) => {
        const own = [...level.columns.keys()].filter((k) => (placeOf[level.columns[k] ?? -1] ?? -1) >= 0);
        return {
          ...level,
          columns: Int32Array.from(own, (k) => placeOf[level.columns[k] ?? -1] ?? -1),
          weights: Float64Array.from(own, (k) => level.weights[k] ?? 0),
        };
      }),
    },
    fromFull: pick,
    toFull: (own) => {
      const all = new Float64Array(count);
      kept.forEach((column, place) => {
        all[column] = own[place] ?? 0;
      });
      return all;
    },
  };
}
