/**
 * A square sparse matrix, column by column. Its entries are complex numbers, or 2 x 2 real blocks where a load's
 * derivative, which also depends on the conjugate, comes on top: a + jb is the block [a -b; b a]. Indexes here and in the
 * factorization are the solver's own and in range, so typed arrays are read `as number`.
 */
export interface SparsePattern {
  readonly size: number;
  /** Entries of column c are `columnStart[c]` up to `columnStart[c + 1]`. */
  readonly columnStart: Int32Array;
  readonly row: Int32Array;
  /** For each place given, the entry that holds it; places given twice share one entry. */
  readonly entryOf: Int32Array;
}

/** Sorts `count` places (row, column) into columns and merges those given more than once. */
export function gatherPattern(size: number, count: number, rows: Int32Array, columns: Int32Array): SparsePattern {
  const placeStart = new Int32Array(size + 1);
  for (let place = 0; place < count; place++) {
    const next = (columns[place] as number) + 1;
    placeStart[next] = (placeStart[next] as number) + 1;
  }
  for (let column = 0; column < size; column++) {
    placeStart[column + 1] = (placeStart[column + 1] as number) + (placeStart[column] as number);
  }
  const cursor = placeStart.slice(0, size);
  const placesByColumn = new Int32Array(count);
  for (let place = 0; place < count; place++) {
    const column = columns[place] as number;
    placesByColumn[cursor[column] as number] = place;
    cursor[column] = (cursor[column] as number) + 1;
  }

  const columnStart = new Int32Array(size + 1);
  const row = new Int32Array(count);
  const entryOf = new Int32Array(count);
  const entryAtRow = new Int32Array(size).fill(-1);
  let entries = 0;
  for (let column = 0; column < size; column++) {
    const first = entries;
    for (let at = placeStart[column] as number; at < (placeStart[column + 1] as number); at++) {
      const place = placesByColumn[at] as number;
      const placeRow = rows[place] as number;
      let entry = entryAtRow[placeRow] as number;
      if (entry < first) {
        entry = entries++;
        entryAtRow[placeRow] = entry;
        row[entry] = placeRow;
      }
      entryOf[place] = entry;
    }
    columnStart[column + 1] = entries;
  }
  return { size, columnStart, row: row.slice(0, entries), entryOf };
}
