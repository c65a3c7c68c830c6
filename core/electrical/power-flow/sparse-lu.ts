import type { PivotOrder } from './pivot-order.ts';
import type { BlockPattern } from './sparse-matrix.ts';

/** Factors of a block matrix in a fixed order of elimination, so that each new set of values costs arithmetic alone. */
export interface SparseLu {
  /** Factors these values; false where a pivot has become too small for the fixed order. */
  factor(values: Float64Array): boolean;
  /** Solves A x = b in place: `vector` holds b, then x, two reals for each row. */
  solve(vector: Float64Array): void;
}

/** A multiplier above this means that the order was chosen for other values. */
const largestMultiplier = 1e5;

export function sparseLu(pattern: BlockPattern, order: PivotOrder): SparseLu {
  const { size, rowStart, column } = pattern;
  const { rowOfStep, columnOfStep, stepOfColumn, lowerStart, lowerStep, upperStart, upperStep } = order;
  const lower = new Float64Array(4 * lowerStep.length);
  const upper = new Float64Array(4 * upperStep.length);
  const inverse = new Float64Array(4 * size);
  const work = new Float64Array(4 * size);
  const reordered = new Float64Array(2 * size);

  const clear = (step: number): void => {
    work[4 * step] = 0;
    work[4 * step + 1] = 0;
    work[4 * step + 2] = 0;
    work[4 * step + 3] = 0;
  };

  return {
    factor(values) {
      for (let step = 0; step < size; step++) {
        const row = rowOfStep[step] as number;
        const lowerEnd = lowerStart[step + 1] as number;
        const upperEnd = upperStart[step + 1] as number;
        clear(step);
        for (let at = lowerStart[step] as number; at < lowerEnd; at++) clear(lowerStep[at] as number);
        for (let at = upperStart[step] as number; at < upperEnd; at++) clear(upperStep[at] as number);
        for (let at = rowStart[row] as number; at < (rowStart[row + 1] as number); at++) {
          const target = 4 * (stepOfColumn[column[at] as number] as number);
          work[target] = values[4 * at] as number;
          work[target + 1] = values[4 * at + 1] as number;
          work[target + 2] = values[4 * at + 2] as number;
          work[target + 3] = values[4 * at + 3] as number;
        }
        for (let at = lowerStart[step] as number; at < lowerEnd; at++) {
          const earlier = lowerStep[at] as number;
          const from = 4 * earlier;
          const p = work[from] as number;
          const q = work[from + 1] as number;
          const r = work[from + 2] as number;
          const s = work[from + 3] as number;
          const i0 = inverse[from] as number;
          const i1 = inverse[from + 1] as number;
          const i2 = inverse[from + 2] as number;
          const i3 = inverse[from + 3] as number;
          const l0 = p * i0 + q * i2;
          const l1 = p * i1 + q * i3;
          const l2 = r * i0 + s * i2;
          const l3 = r * i1 + s * i3;
          if (!(Math.abs(l0) + Math.abs(l1) + Math.abs(l2) + Math.abs(l3) < largestMultiplier)) return false;
          lower[4 * at] = l0;
          lower[4 * at + 1] = l1;
          lower[4 * at + 2] = l2;
          lower[4 * at + 3] = l3;
          for (let up = upperStart[earlier] as number; up < (upperStart[earlier + 1] as number); up++) {
            const target = 4 * (upperStep[up] as number);
            const u0 = upper[4 * up] as number;
            const u1 = upper[4 * up + 1] as number;
            const u2 = upper[4 * up + 2] as number;
            const u3 = upper[4 * up + 3] as number;
            work[target] = (work[target] as number) - (l0 * u0 + l1 * u2);
            work[target + 1] = (work[target + 1] as number) - (l0 * u1 + l1 * u3);
            work[target + 2] = (work[target + 2] as number) - (l2 * u0 + l3 * u2);
            work[target + 3] = (work[target + 3] as number) - (l2 * u1 + l3 * u3);
          }
        }
        const a = work[4 * step] as number;
        const b = work[4 * step + 1] as number;
        const c = work[4 * step + 2] as number;
        const d = work[4 * step + 3] as number;
        const determinant = a * d - b * c;
        if (determinant === 0 || !Number.isFinite(determinant)) return false;
        inverse[4 * step] = d / determinant;
        inverse[4 * step + 1] = -b / determinant;
        inverse[4 * step + 2] = -c / determinant;
        inverse[4 * step + 3] = a / determinant;
        for (let at = upperStart[step] as number; at < upperEnd; at++) {
          const from = 4 * (upperStep[at] as number);
          upper[4 * at] = work[from] as number;
          upper[4 * at + 1] = work[from + 1] as number;
          upper[4 * at + 2] = work[from + 2] as number;
          upper[4 * at + 3] = work[from + 3] as number;
        }
      }
      return true;
    },

    solve(vector) {
      for (let step = 0; step < size; step++) {
        const row = rowOfStep[step] as number;
        let re = vector[2 * row] as number;
        let im = vector[2 * row + 1] as number;
        for (let at = lowerStart[step] as number; at < (lowerStart[step + 1] as number); at++) {
          const earlier = 2 * (lowerStep[at] as number);
          const x = reordered[earlier] as number;
          const y = reordered[earlier + 1] as number;
          re -= (lower[4 * at] as number) * x + (lower[4 * at + 1] as number) * y;
          im -= (lower[4 * at + 2] as number) * x + (lower[4 * at + 3] as number) * y;
        }
        reordered[2 * step] = re;
        reordered[2 * step + 1] = im;
      }
      for (let step = size - 1; step >= 0; step--) {
        let re = reordered[2 * step] as number;
        let im = reordered[2 * step + 1] as number;
        for (let at = upperStart[step] as number; at < (upperStart[step + 1] as number); at++) {
          const later = 2 * (upperStep[at] as number);
          const x = reordered[later] as number;
          const y = reordered[later + 1] as number;
          re -= (upper[4 * at] as number) * x + (upper[4 * at + 1] as number) * y;
          im -= (upper[4 * at + 2] as number) * x + (upper[4 * at + 3] as number) * y;
        }
        reordered[2 * step] = (inverse[4 * step] as number) * re + (inverse[4 * step + 1] as number) * im;
        reordered[2 * step + 1] = (inverse[4 * step + 2] as number) * re + (inverse[4 * step + 3] as number) * im;
      }
      for (let step = 0; step < size; step++) {
        const col = columnOfStep[step] as number;
        vector[2 * col] = reordered[2 * step] as number;
        vector[2 * col + 1] = reordered[2 * step + 1] as number;
      }
    },
  };
}
