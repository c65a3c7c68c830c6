/** A symmetric matrix, factored as L D L' in place, with the first column of each row that holds anything. */
export interface Factor {
  readonly matrix: Float64Array;
  readonly size: number;
  readonly first: Int32Array;
  /** The row at which nothing is left to divide by, or -1. */
  readonly stuck: number;
}

/**
 * Factors a symmetric matrix (row by row, lower half) in place, within its envelope: terminals are numbered from the
 * supply outwards, so that neighbours stand near each other. Nodal matrices of passive circuits whose every node is tied
 * to a known one are positive definite and need no row exchanges.
 */
export function factorSymmetric(matrix: Float64Array, size: number): Factor {
  const first = new Int32Array(size);
  for (let i = 0; i < size; i++) {
    const row = i * size;
    let start = 0;
    while (start < i && matrix[row + start] === 0) start++;
    first[i] = start;
    const original = matrix[row + i] ?? 0;
    for (let j = start; j < i; j++) {
      const other = j * size;
      let sum = matrix[row + j] ?? 0;
      for (let m = Math.max(start, first[j] ?? 0); m < j; m++) sum -= (matrix[row + m] ?? 0) * (matrix[other + m] ?? 0);
      matrix[row + j] = sum;
    }
    let left = original;
    for (let j = start; j < i; j++) {
      const scaled = matrix[row + j] ?? 0;
      const l = scaled / (matrix[j * size + j] ?? 1);
      left -= l * scaled;
      matrix[row + j] = l;
    }
    if (!(left > 1e-13 * Math.abs(original))) return { matrix, size, first, stuck: i };
    matrix[row + i] = left;
  }
  return { matrix, size, first, stuck: -1 };
}

/** Solves with a factored matrix, in place. */
export function solveFactored({ matrix, size, first }: Factor, right: Float64Array): void {
  for (let i = 0; i < size; i++) {
    let sum = right[i] ?? 0;
    for (let j = first[i] ?? 0; j < i; j++) sum -= (matrix[i * size + j] ?? 0) * (right[j] ?? 0);
    right[i] = sum;
  }
  for (let i = 0; i < size; i++) right[i] = (right[i] ?? 0) / (matrix[i * size + i] ?? 1);
  for (let i = size - 1; i > 0; i--) {
    const known = right[i] ?? 0;
    if (known === 0) continue;
    for (let j = first[i] ?? 0; j < i; j++) right[j] = (right[j] ?? 0) - (matrix[i * size + j] ?? 0) * known;
  }
}
