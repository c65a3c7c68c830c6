import type { LinearModel, ObjectiveLevel } from './linear-model.ts';

export interface ModelBuilder {
  /** Returns the column's number. */
  readonly addColumn: (lower: number, upper: number) => number;
  readonly addRow: (lower: number, upper: number, columns: readonly number[], values: readonly number[]) => void;
  readonly addLevel: (
    level: Pick<ObjectiveLevel, 'name' | 'unit' | 'sense' | 'range'>,
    columns: readonly number[],
    weights: readonly number[],
  ) => void;
  readonly columnCount: () => number;
  readonly build: () => LinearModel;
}

/** Puts a linear model together piece by piece. A column that a row names twice counts with the sum. */
export function modelBuilder(): ModelBuilder {
  const columnLower: number[] = [];
  const columnUpper: number[] = [];
  const rowLower: number[] = [];
  const rowUpper: number[] = [];
  const rowStarts: number[] = [0];
  const columns: number[] = [];
  const values: number[] = [];
  const levels: ObjectiveLevel[] = [];
  const placeOf = new Map<number, number>();
  return {
    addColumn: (lower, upper) => {
      columnLower.push(lower);
      return columnUpper.push(upper) - 1;
    },
    addRow: (lower, upper, rowColumns, rowValues) => {
      placeOf.clear();
      rowColumns.forEach((column, i) => {
        const value = rowValues[i] ?? 0;
        const place = placeOf.get(column);
        if (place !== undefined) {
          values[place] = (values[place] ?? 0) + value;
          return;
        }
        placeOf.set(column, columns.length);
        columns.push(column);
        values.push(value);
      });
      rowLower.push(lower);
      rowUpper.push(upper);
      rowStarts.push(columns.length);
    },
    addLevel: (level, levelColumns, weights) => {
      levels.push({ ...level, columns: Int32Array.from(levelColumns), weights: Float64Array.from(weights) });
    },
    columnCount: () => columnLower.length,
    build: () => ({
      columnLower: Float64Array.from(columnLower),
      columnUpper: Float64Array.from(columnUpper),
      rowLower: Float64Array.from(rowLower),
      rowUpper: Float64Array.from(rowUpper),
      rowStarts: Int32Array.from(rowStarts),
      columns: Int32Array.from(columns),
      values: Float64Array.from(values),
      levels,
    }),
  };
}
