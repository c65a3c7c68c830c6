import type { EliminationOrder } from './elimination-order.ts';
import type { SparsePattern } from './sparse-matrix.ts';

/** Factors of a matrix of 2 x 2 blocks. */
export interface SparseLu {
  /** Factors new values with the pivots chosen before; false where a pivot has become too small for that. */
  refactor(values: Float64Array): boolean;
  /** Solves A x = b in place: `vector` holds b, then x, two reals for each row. */
  solve(vector: Float64Array): void;
}

export interface SingularColumn {
  readonly singularColumn: number;
}

export interface TooMeshedColumn {
  readonly tooMeshedColumn: number;
}

/**
 * Most products of blocks in one factorization: a tree needs some tens for each unknown, whatever its size, and every
 * network of some two hundred unknowns stays within the first figure. Beyond, the work would grow with the cube.
 */
const mostProducts = { ofAny: 5e6, ofEachUnknown: 300 };

/** The preferred row is the pivot unless it is smaller than this part of its column's largest entry. */
const threshold = 0.1;
/** The least determinant of a pivot as a part of its size squared; a complex number has 0.125 or more. */
const flattest = 1e-3;
/** A column whose every entry fell below this part of what it began with holds rounding alone. */
const vanished = 1e-13;
/** A multiplier above this means that the pivots were chosen for other values. */
const largestMultiplier = 1e5;

/**
 * Factors column by column (Gilbert and Peierls, 1988, "Sparse partial pivoting in time proportional to arithmetic
 * operations"): each column is solved with the columns before it, whose pattern tells which of them matter.
 */
export function sparseLu(
  pattern: SparsePattern,
  values: Float64Array,
  { columnOfStep, preferredRow }: EliminationOrder,
): SparseLu | SingularColumn | TooMeshedColumn {
  const { size, columnStart, row } = pattern;
  let productsLeft = mostProducts.ofAny + mostProducts.ofEachUnknown * size;
  const lowerStart = new Int32Array(size + 1);
  const upperStart = new Int32Array(size + 1);
  let lowerRow = new Int32Array(row.length + 8);
  let lower = new Float64Array(4 * lowerRow.length);
  let upperStep = new Int32Array(row.length + 8);
  let upper = new Float64Array(4 * upperStep.length);
  const inverse = new Float64Array(4 * size);
  const stepOfRow = new Int32Array(size).fill(-1);
  const rowOfStep = new Int32Array(size);
  /** The column being worked on, by row. */
  const work = new Float64Array(4 * size);
  const reordered = new Float64Array(2 * size);

  const addEntry = (at: number, target: number, source: Float64Array): void => {
    work[target] = source[4 * at] as number;
    work[target + 1] = source[4 * at + 1] as number;
    work[target + 2] = source[4 * at + 2] as number;
    work[target + 3] = source[4 * at + 3] as number;
  };
  const clear = (target: number): void => {
    work[target] = 0;
    work[target + 1] = 0;
    work[target + 2] = 0;
    work[target + 3] = 0;
  };
  /** Takes an earlier step out of the column: keeps its part as an upper entry, subtracts it from the rows below. */
  const applyStep = (step: number, up: number): void => {
    const from = 4 * (rowOfStep[step] as number);
    const u0 = work[from] as number;
    const u1 = work[from + 1] as number;
    const u2 = work[from + 2] as number;
    const u3 = work[from + 3] as number;
    upper[4 * up] = u0;
    upper[4 * up + 1] = u1;
    upper[4 * up + 2] = u2;
    upper[4 * up + 3] = u3;
    for (let at = lowerStart[step] as number; at < (lowerStart[step + 1] as number); at++) {
      const target = 4 * (lowerRow[at] as number);
      const l0 = lower[4 * at] as number;
      const l1 = lower[4 * at + 1] as number;
      const l2 = lower[4 * at + 2] as number;
      const l3 = lower[4 * at + 3] as number;
      work[target] = (work[target] as number) - (l0 * u0 + l1 * u2);
      work[target + 1] = (work[target + 1] as number) - (l0 * u1 + l1 * u3);
      work[target + 2] = (work[target + 2] as number) - (l2 * u0 + l3 * u2);
      work[target + 3] = (work[target + 3] as number) - (l2 * u1 + l3 * u3);
    }
  };
  const sizeAt = (target: number): number =>
    Math.abs(work[target] as number) +
    Math.abs(work[target + 1] as number) +
    Math.abs(work[target + 2] as number) +
    Math.abs(work[target + 3] as number);
  const determinantAt = (target: number): number =>
    (work[target] as number) * (work[target + 3] as number) -
    (work[target + 1] as number) * (work[target + 2] as number);
  const invertPivot = (step: number, target: number): boolean => {
    const determinant = determinantAt(target);
    if (determinant === 0 || !Number.isFinite(determinant)) return false;
    inverse[4 * step] = (work[target + 3] as number) / determinant;
    inverse[4 * step + 1] = -(work[target + 1] as number) / determinant;
    inverse[4 * step + 2] = -(work[target + 2] as number) / determinant;
    inverse[4 * step + 3] = (work[target] as number) / determinant;
    return true;
  };
  /** Divides a row below by the pivot and keeps it; false where the pivot is too small for it. */
  const keepLower = (step: number, at: number): boolean => {
    const from = 4 * (lowerRow[at] as number);
    const p = work[from] as number;
    const q = work[from + 1] as number;
    const r = work[from + 2] as number;
    const s = work[from + 3] as number;
    const i0 = inverse[4 * step] as number;
    const i1 = inverse[4 * step + 1] as number;
    const i2 = inverse[4 * step + 2] as number;
    const i3 = inverse[4 * step + 3] as number;
    const l0 = p * i0 + q * i2;
    const l1 = p * i1 + q * i3;
    const l2 = r * i0 + s * i2;
    const l3 = r * i1 + s * i3;
    lower[4 * at] = l0;
    lower[4 * at + 1] = l1;
    lower[4 * at + 2] = l2;
    lower[4 * at + 3] = l3;
    clear(from);
    return Math.abs(l0) + Math.abs(l1) + Math.abs(l2) + Math.abs(l3) < largestMultiplier;
  };

  // Depth-first search over the lower pattern, for the earlier steps that reach into a column, in an order that serves.
  const mark = new Int32Array(size).fill(-1);
  const stack = new Int32Array(size);
  const cursor = new Int32Array(size);
  const reach = new Int32Array(size);
  const candidates = new Int32Array(size);
  let reachTop = size;
  let candidateCount = 0;
  const visit = (start: number, column: number): void => {
    mark[start] = column;
    const first = stepOfRow[start] as number;
    if (first < 0) {
      candidates[candidateCount++] = start;
      return;
    }
    let depth = 0;
    stack[0] = first;
    cursor[0] = lowerStart[first] as number;
    while (depth >= 0) {
      const end = lowerStart[(stack[depth] as number) + 1] as number;
      let at = cursor[depth] as number;
      let deeper = -1;
      for (; at < end && deeper < 0; at++) {
        const r = lowerRow[at] as number;
        if (mark[r] === column) continue;
        mark[r] = column;
        deeper = stepOfRow[r] as number;
        if (deeper < 0) candidates[candidateCount++] = r;
      }
      if (deeper < 0) reach[--reachTop] = stack[depth--] as number;
      else {
        cursor[depth++] = at;
        stack[depth] = deeper;
        cursor[depth] = lowerStart[deeper] as number;
      }
    }
  };

  let lowers = 0;
  let uppers = 0;
  for (let step = 0; step < size; step++) {
    const column = columnOfStep[step] as number;
    reachTop = size;
    candidateCount = 0;
    let scale = 0;
    for (let at = columnStart[column] as number; at < (columnStart[column + 1] as number); at++) {
      const r = row[at] as number;
      if (mark[r] !== column) visit(r, column);
      addEntry(at, 4 * r, values);
      scale = Math.max(scale, sizeAt(4 * r));
    }
    if (uppers + size - reachTop > upperStep.length) {
      upperStep = grown(upperStep, size);
      upper = grownReals(upper, upperStep.length);
    }
    for (let at = reachTop; at < size; at++) {
      const earlier = reach[at] as number;
      productsLeft -= (lowerStart[earlier + 1] as number) - (lowerStart[earlier] as number);
      upperStep[uppers] = earlier;
      applyStep(earlier, uppers++);
      clear(4 * (rowOfStep[earlier] as number));
    }
    upperStart[step + 1] = uppers;
    if (productsLeft < 0) return { tooMeshedColumn: column };

    let largest = 0;
    let pivot = -1;
    for (let at = 0; at < candidateCount; at++) {
      const r = candidates[at] as number;
      const entrySize = sizeAt(4 * r);
      if (entrySize > largest && Math.abs(determinantAt(4 * r)) >= flattest * entrySize * entrySize) {
        largest = entrySize;
        pivot = r;
      }
    }
    if (pivot < 0 || !(largest > vanished * scale)) return { singularColumn: column };
    const preferred = preferredRow[column] as number;
    if (preferred >= 0 && preferred !== pivot && mark[preferred] === column && (stepOfRow[preferred] as number) < 0) {
      const entrySize = sizeAt(4 * preferred);
      if (
        entrySize >= threshold * largest &&
        Math.abs(determinantAt(4 * preferred)) >= flattest * entrySize * entrySize
      ) {
        pivot = preferred;
      }
    }
    if (!invertPivot(step, 4 * pivot)) return { singularColumn: column };
    clear(4 * pivot);
    stepOfRow[pivot] = step;
    rowOfStep[step] = pivot;
    if (lowers + candidateCount > lowerRow.length) {
      lowerRow = grown(lowerRow, size);
      lower = grownReals(lower, lowerRow.length);
    }
    for (let at = 0; at < candidateCount; at++) {
      const r = candidates[at] as number;
      if (r === pivot) continue;
      lowerRow[lowers] = r;
      keepLower(step, lowers++);
    }
    lowerStart[step + 1] = lowers;
  }

  return {
    refactor(next) {
      for (let step = 0; step < size; step++) {
        const column = columnOfStep[step] as number;
        for (let at = columnStart[column] as number; at < (columnStart[column + 1] as number); at++) {
          addEntry(at, 4 * (row[at] as number), next);
        }
        for (let up = upperStart[step] as number; up < (upperStart[step + 1] as number); up++) {
          const earlier = upperStep[up] as number;
          applyStep(earlier, up);
          clear(4 * (rowOfStep[earlier] as number));
        }
        const pivot = 4 * (rowOfStep[step] as number);
        let good = invertPivot(step, pivot);
        clear(pivot);
        for (let at = lowerStart[step] as number; at < (lowerStart[step + 1] as number); at++) {
          if (!keepLower(step, at)) good = false;
        }
        if (!good) return false;
      }
      return true;
    },

    solve(vector) {
      for (let step = 0; step < size; step++) {
        const pivot = 2 * (rowOfStep[step] as number);
        const x = vector[pivot] as number;
        const y = vector[pivot + 1] as number;
        reordered[2 * step] = x;
        reordered[2 * step + 1] = y;
        for (let at = lowerStart[step] as number; at < (lowerStart[step + 1] as number); at++) {
          const target = 2 * (lowerRow[at] as number);
          vector[target] =
            (vector[target] as number) - ((lower[4 * at] as number) * x + (lower[4 * at + 1] as number) * y);
          vector[target + 1] =
            (vector[target + 1] as number) - ((lower[4 * at + 2] as number) * x + (lower[4 * at + 3] as number) * y);
        }
      }
      for (let step = size - 1; step >= 0; step--) {
        const re = reordered[2 * step] as number;
        const im = reordered[2 * step + 1] as number;
        const x = (inverse[4 * step] as number) * re + (inverse[4 * step + 1] as number) * im;
        const y = (inverse[4 * step + 2] as number) * re + (inverse[4 * step + 3] as number) * im;
        const column = 2 * (columnOfStep[step] as number);
        vector[column] = x;
        vector[column + 1] = y;
        for (let up = upperStart[step] as number; up < (upperStart[step + 1] as number); up++) {
          const target = 2 * (upperStep[up] as number);
          reordered[target] =
            (reordered[target] as number) - ((upper[4 * up] as number) * x + (upper[4 * up + 1] as number) * y);
          reordered[target + 1] =
            (reordered[target + 1] as number) - ((upper[4 * up + 2] as number) * x + (upper[4 * up + 3] as number) * y);
        }
      }
    },
  };
}

function grown(old: Int32Array, room: number): Int32Array<ArrayBuffer> {
  const copy = new Int32Array(2 * old.length + room);
  copy.set(old);
  return copy;
}

function grownReals(old: Float64Array, entries: number): Float64Array<ArrayBuffer> {
  const copy = new Float64Array(4 * entries);
  copy.set(old);
  return copy;
}
