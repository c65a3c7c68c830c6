/**
 * A linear model in whole numbers as plain data: core builds it and reads its solution, whoever calls core solves it.
 * Every column is a whole number from `lower` to `upper`; every row holds `lower <= sum <= upper`. Bounds may be infinite.
 */
export interface LinearModel {
  readonly columnLower: Float64Array;
  readonly columnUpper: Float64Array;
  readonly rowLower: Float64Array;
  readonly rowUpper: Float64Array;
  /** Row after row: `rowStarts[i]` to `rowStarts[i + 1]` in `columns` and `values`. */
  readonly rowStarts: Int32Array;
  readonly columns: Int32Array;
  readonly values: Float64Array;
  /** In this order: what comes later never costs anything of what comes before. */
  readonly levels: readonly ObjectiveLevel[];
}

/** One aim, in whole numbers. */
export interface ObjectiveLevel {
  readonly name: string;
  readonly unit: string;
  readonly sense: 'most' | 'least';
  readonly columns: Int32Array;
  readonly weights: Float64Array;
  /** No solution has more than this of it, and none less than 0. */
  readonly range: number;
}

/** How far a level was brought. */
export interface LevelResult {
  readonly name: string;
  readonly unit: string;
  readonly sense: 'most' | 'least';
  /** Of the best solution; null where there is none. */
  readonly value: number | null;
  /** No solution can do better than this, given the levels before; null where nothing is proven. */
  readonly bound: number | null;
  readonly proven: boolean;
}

/**
 * `optimal`: every level is proven. `feasible`: a solution, not proven the best. `infeasible`: proven that there is none.
 * `noSolution`: the time ended, or the solver was stopped, before one was found. `failed`: the solver itself failed.
 */
export type SolveStatus = 'optimal' | 'feasible' | 'infeasible' | 'noSolution' | 'failed';

export interface LinearSolution {
  readonly status: SolveStatus;
  /** One value for each column; null where there is no solution. */
  readonly values: Float64Array | null;
  readonly levels: readonly LevelResult[];
  readonly stopped: boolean;
  /** What the solver said where it failed. */
  readonly message: string | null;
}

/** The value of one level under a solution. */
export function levelValue(level: ObjectiveLevel, values: ArrayLike<number>): number {
  let sum = 0;
  for (let i = 0; i < level.columns.length; i++) {
    sum += (level.weights[i] ?? 0) * Math.round(values[level.columns[i] ?? 0] ?? 0);
  }
  return sum;
}
