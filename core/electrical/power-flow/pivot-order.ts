import type { BlockPattern } from './sparse-matrix.ts';

/** The order of elimination, and where entries will stand in the factors. Steps count from 0. */
export interface PivotOrder {
  readonly rowOfStep: Int32Array;
  readonly columnOfStep: Int32Array;
  readonly stepOfColumn: Int32Array;
  /** For the row eliminated at step k, the earlier steps it takes from, ascending: `lowerStart[k]` up to `[k + 1]`. */
  readonly lowerStart: Int32Array;
  readonly lowerStep: Int32Array;
  /** The later steps whose columns that row still holds: `upperStart[k]` up to `[k + 1]`. */
  readonly upperStart: Int32Array;
  readonly upperStep: Int32Array;
}

export interface SingularColumn {
  readonly singularColumn: number;
}

/** A pivot may be this much smaller than the largest entry of its column, no less. */
const threshold = 0.02;
/** A column whose every entry fell below this part of what it began with holds rounding alone. */
const vanished = 1e-13;
/** How many of the shortest columns are looked at for each pivot. */
const columnsLookedAt = 3;

/**
 * Chooses pivots by Markowitz's count, least fill first, among entries large enough for their column. The eliminated
 * matrix is kept as linked rows and columns with a hash to find an entry, so that a tree costs a time linear in its
 * nodes even where one terminal has thousands of neighbours.
 */
export function choosePivots(pattern: BlockPattern, values: Float64Array): PivotOrder | SingularColumn {
  const { size } = pattern;
  const active = activeMatrix(pattern, values);
  const { rowHead, rowCount, columnHead, columnCount } = active;

  const startSize = new Float64Array(size);
  for (let col = 0; col < size; col++) startSize[col] = active.largestInColumn(col);

  // Columns in doubly linked lists by their count of entries.
  const bucketHead = new Int32Array(size + 2).fill(-1);
  const next = new Int32Array(size).fill(-1);
  const previous = new Int32Array(size).fill(-1);
  const bucketOf = new Int32Array(size);
  let shortest = 0;
  const file = (col: number): void => {
    const count = columnCount[col] as number;
    const head = bucketHead[count] as number;
    bucketOf[col] = count;
    next[col] = head;
    previous[col] = -1;
    if (head >= 0) previous[head] = col;
    bucketHead[count] = col;
    if (count < shortest) shortest = count;
  };
  const unfile = (col: number): void => {
    const after = next[col] as number;
    const before = previous[col] as number;
    if (after >= 0) previous[after] = before;
    if (before >= 0) next[before] = after;
    else bucketHead[bucketOf[col] as number] = after;
  };
  for (let col = size - 1; col >= 0; col--) file(col);

  const rowOfStep = new Int32Array(size);
  const columnOfStep = new Int32Array(size);
  const stepOfColumn = new Int32Array(size);
  const stepOfRow = new Int32Array(size);
  const upperColumns: number[] = [];
  const upperStart = new Int32Array(size + 1);
  const lowerRows: number[] = [];
  const lowerEnd = new Int32Array(size);

  for (let step = 0; step < size; step++) {
    while (shortest <= size && (bucketHead[shortest] as number) < 0) shortest++;

    let pivot = -1;
    let pivotCost = Number.POSITIVE_INFINITY;
    let looked = 0;
    search: for (let count = shortest; count <= size; count++) {
      for (let col = bucketHead[count] as number; col >= 0; col = next[col] as number) {
        const largest = active.largestInColumn(col);
        if (!(largest > vanished * (startSize[col] as number))) return { singularColumn: col };
        for (let entry = columnHead[col] as number; entry >= 0; entry = active.nextInColumn(entry)) {
          const cost = ((rowCount[active.rowOf(entry)] as number) - 1) * (count - 1);
          if (cost < pivotCost && active.pivotSize(entry) >= threshold * largest) {
            pivot = entry;
            pivotCost = cost;
          }
        }
        looked++;
        if (pivot >= 0 && (looked >= columnsLookedAt || pivotCost <= (count - 1) * (count - 1))) break search;
      }
    }
    if (pivot < 0) return { singularColumn: Math.max(0, bucketHead[shortest] as number) };

    const row = active.rowOf(pivot);
    const col = active.columnOf(pivot);
    rowOfStep[step] = row;
    columnOfStep[step] = col;
    stepOfColumn[col] = step;
    stepOfRow[row] = step;
    unfile(col);
    for (let entry = rowHead[row] as number; entry >= 0; entry = active.nextInRow(entry)) {
      if (entry === pivot) continue;
      const upper = active.columnOf(entry);
      upperColumns.push(upper);
      unfile(upper);
    }
    upperStart[step + 1] = upperColumns.length;
    for (let entry = columnHead[col] as number; entry >= 0; entry = active.nextInColumn(entry)) {
      if (entry !== pivot) lowerRows.push(active.rowOf(entry));
    }
    lowerEnd[step] = lowerRows.length;
    active.eliminate(pivot);
    for (let at = upperStart[step] as number; at < upperColumns.length; at++) file(upperColumns[at] as number);
  }

  const upperStep = Int32Array.from(upperColumns, (col) => stepOfColumn[col] as number);
  const { lowerStart, lowerStep } = lowerByRow(size, lowerRows, lowerEnd, stepOfRow);
  return { rowOfStep, columnOfStep, stepOfColumn, lowerStart, lowerStep, upperStart, upperStep };
}

/** Turns the rows met at each step into the steps met by each row; filled step by step, so ascending. */
function lowerByRow(
  size: number,
  lowerRows: readonly number[],
  lowerEnd: Int32Array,
  stepOfRow: Int32Array,
): { lowerStart: Int32Array; lowerStep: Int32Array } {
  const lowerStart = new Int32Array(size + 1);
  for (const row of lowerRows) {
    const at = (stepOfRow[row] as number) + 1;
    lowerStart[at] = (lowerStart[at] as number) + 1;
  }
  for (let step = 0; step < size; step++) {
    lowerStart[step + 1] = (lowerStart[step + 1] as number) + (lowerStart[step] as number);
  }
  const cursor = lowerStart.slice(0, size);
  const lowerStep = new Int32Array(lowerRows.length);
  let at = 0;
  for (let step = 0; step < size; step++) {
    for (; at < (lowerEnd[step] as number); at++) {
      const target = stepOfRow[lowerRows[at] as number] as number;
      lowerStep[cursor[target] as number] = step;
      cursor[target] = (cursor[target] as number) + 1;
    }
  }
  return { lowerStart, lowerStep };
}

/** The part of the matrix not yet eliminated. */
interface ActiveMatrix {
  readonly rowHead: Int32Array;
  readonly rowCount: Int32Array;
  readonly columnHead: Int32Array;
  readonly columnCount: Int32Array;
  rowOf(entry: number): number;
  columnOf(entry: number): number;
  nextInRow(entry: number): number;
  nextInColumn(entry: number): number;
  /** How large an entry is as a pivot: its smaller stretch, near enough. */
  pivotSize(entry: number): number;
  largestInColumn(col: number): number;
  /** Subtracts the pivot's row from every row of its column, then takes that row and column out. */
  eliminate(pivot: number): void;
}

function activeMatrix(pattern: BlockPattern, values: Float64Array): ActiveMatrix {
  const { size, rowStart, column } = pattern;
  const given = column.length;
  let room = 2 * given + 64;
  let row = new Int32Array(room);
  let col = new Int32Array(room);
  let rowNext = new Int32Array(room);
  let rowPrevious = new Int32Array(room);
  let colNext = new Int32Array(room);
  let colPrevious = new Int32Array(room);
  let value = new Float64Array(4 * room);
  let count = 0;
  const rowHead = new Int32Array(size).fill(-1);
  const columnHead = new Int32Array(size).fill(-1);
  const rowCount = new Int32Array(size);
  const columnCount = new Int32Array(size);

  let mask = 0;
  let table = new Int32Array(0);
  const place = (r: number, c: number): number => {
    let slot = (Math.imul(r, 0x9e3779b1) ^ Math.imul(c, 0x85ebca6b)) >>> 0;
    slot = (slot ^ (slot >>> 15)) & mask;
    for (;;) {
      const entry = (table[slot] as number) - 1;
      if (entry < 0 || (row[entry] === r && col[entry] === c)) return slot;
      slot = (slot + 1) & mask;
    }
  };
  const rehash = (): void => {
    let length = 64;
    while (length < 2 * room) length *= 2;
    mask = length - 1;
    table = new Int32Array(length);
    for (let entry = 0; entry < count; entry++) table[place(row[entry] as number, col[entry] as number)] = entry + 1;
  };
  const grow = (): void => {
    room *= 2;
    const larger = (old: Int32Array): Int32Array<ArrayBuffer> => {
      const copy = new Int32Array(room);
      copy.set(old);
      return copy;
    };
    row = larger(row);
    col = larger(col);
    rowNext = larger(rowNext);
    rowPrevious = larger(rowPrevious);
    colNext = larger(colNext);
    colPrevious = larger(colPrevious);
    const moreValues = new Float64Array(4 * room);
    moreValues.set(value);
    value = moreValues;
    rehash();
  };
  const findOrAdd = (r: number, c: number): number => {
    if (count === room) grow();
    const slot = place(r, c);
    const found = (table[slot] as number) - 1;
    if (found >= 0) return found;
    const entry = count++;
    table[slot] = entry + 1;
    row[entry] = r;
    col[entry] = c;
    const inRow = rowHead[r] as number;
    rowNext[entry] = inRow;
    rowPrevious[entry] = -1;
    if (inRow >= 0) rowPrevious[inRow] = entry;
    rowHead[r] = entry;
    rowCount[r] = (rowCount[r] as number) + 1;
    const inCol = columnHead[c] as number;
    colNext[entry] = inCol;
    colPrevious[entry] = -1;
    if (inCol >= 0) colPrevious[inCol] = entry;
    columnHead[c] = entry;
    columnCount[c] = (columnCount[c] as number) + 1;
    return entry;
  };
  const leaveRow = (entry: number): void => {
    const r = row[entry] as number;
    const after = rowNext[entry] as number;
    const before = rowPrevious[entry] as number;
    if (after >= 0) rowPrevious[after] = before;
    if (before >= 0) rowNext[before] = after;
    else rowHead[r] = after;
    rowCount[r] = (rowCount[r] as number) - 1;
  };
  const leaveColumn = (entry: number): void => {
    const c = col[entry] as number;
    const after = colNext[entry] as number;
    const before = colPrevious[entry] as number;
    if (after >= 0) colPrevious[after] = before;
    if (before >= 0) colNext[before] = after;
    else columnHead[c] = after;
    columnCount[c] = (columnCount[c] as number) - 1;
  };
  const pivotSize = (entry: number): number => {
    const a = value[4 * entry] as number;
    const b = value[4 * entry + 1] as number;
    const c = value[4 * entry + 2] as number;
    const d = value[4 * entry + 3] as number;
    const norm = Math.sqrt(a * a + b * b + c * c + d * d);
    return norm === 0 ? 0 : Math.abs(a * d - b * c) / norm;
  };

  rehash();
  for (let r = 0; r < size; r++) {
    for (let at = rowStart[r] as number; at < (rowStart[r + 1] as number); at++) {
      const entry = findOrAdd(r, column[at] as number);
      for (let part = 0; part < 4; part++) value[4 * entry + part] = values[4 * at + part] as number;
    }
  }

  return {
    rowHead,
    rowCount,
    columnHead,
    columnCount,
    rowOf: (entry) => row[entry] as number,
    columnOf: (entry) => col[entry] as number,
    nextInRow: (entry) => rowNext[entry] as number,
    nextInColumn: (entry) => colNext[entry] as number,
    pivotSize,
    largestInColumn(c) {
      let largest = 0;
      for (let entry = columnHead[c] as number; entry >= 0; entry = colNext[entry] as number) {
        const entrySize = pivotSize(entry);
        if (entrySize > largest) largest = entrySize;
      }
      return largest;
    },
    eliminate(pivot) {
      const pivotRow = row[pivot] as number;
      const pivotColumn = col[pivot] as number;
      const a = value[4 * pivot] as number;
      const b = value[4 * pivot + 1] as number;
      const c = value[4 * pivot + 2] as number;
      const d = value[4 * pivot + 3] as number;
      const determinant = a * d - b * c;
      for (let below = columnHead[pivotColumn] as number; below >= 0; below = colNext[below] as number) {
        if (below === pivot) continue;
        const p = value[4 * below] as number;
        const q = value[4 * below + 1] as number;
        const r = value[4 * below + 2] as number;
        const s = value[4 * below + 3] as number;
        // The multiplier: this entry times the inverse of the pivot.
        const l0 = (p * d - q * c) / determinant;
        const l1 = (q * a - p * b) / determinant;
        const l2 = (r * d - s * c) / determinant;
        const l3 = (s * a - r * b) / determinant;
        const targetRow = row[below] as number;
        for (let right = rowHead[pivotRow] as number; right >= 0; right = rowNext[right] as number) {
          if (right === pivot) continue;
          const target = 4 * findOrAdd(targetRow, col[right] as number);
          const u0 = value[4 * right] as number;
          const u1 = value[4 * right + 1] as number;
          const u2 = value[4 * right + 2] as number;
          const u3 = value[4 * right + 3] as number;
          value[target] = (value[target] as number) - (l0 * u0 + l1 * u2);
          value[target + 1] = (value[target + 1] as number) - (l0 * u1 + l1 * u3);
          value[target + 2] = (value[target + 2] as number) - (l2 * u0 + l3 * u2);
          value[target + 3] = (value[target + 3] as number) - (l2 * u1 + l3 * u3);
        }
        leaveRow(below);
      }
      for (let right = rowHead[pivotRow] as number; right >= 0; right = rowNext[right] as number) {
        if (right !== pivot) leaveColumn(right);
      }
      columnHead[pivotColumn] = -1;
    },
  };
}
