/**
 * A square sparse matrix of 2 x 2 real blocks. A complex number a + jb is the block [a -b; b a]; a load's derivative,
 * which also depends on the conjugate, is a block of general form. Indexes here and in the factorization are the
 * solver's own and in range, so typed arrays are read `as number`.
 */
export interface BlockPattern {
  readonly size: number;
  /** Entries of row r are `rowStart[r]` up to `rowStart[r + 1]`. */
  readonly rowStart: Int32Array;
  readonly column: Int32Array;
}

export interface GatheredPattern extends BlockPattern {
  /** For each place given, the entry that holds it; places given twice share one entry. */
  readonly entryOf: Int32Array;
}

/** Sorts places (row, column) into rows and merges those given more than once. */
export function gatherPattern(size: number, rows: readonly number[], columns: readonly number[]): GatheredPattern {
  const count = rows.length;
  const placeStart = new Int32Array(size + 1);
  for (let place = 0; place < count; place++) {
    const next = (rows[place] as number) + 1;
    placeStart[next] = (placeStart[next] as number) + 1;
  }
  for (let row = 0; row < size; row++) {
    placeStart[row + 1] = (placeStart[row + 1] as number) + (placeStart[row] as number);
  }
  const cursor = placeStart.slice(0, size);
  const placesByRow = new Int32Array(count);
  for (let place = 0; place < count; place++) {
    const row = rows[place] as number;
    placesByRow[cursor[row] as number] = place;
    cursor[row] = (cursor[row] as number) + 1;
  }

  const rowStart = new Int32Array(size + 1);
  const column = new Int32Array(count);
  const entryOf = new Int32Array(count);
  const entryAtColumn = new Int32Array(size).fill(-1);
  let entries = 0;
  for (let row = 0; row < size; row++) {
    const first = entries;
    for (let at = placeStart[row] as number; at < (placeStart[row + 1] as number); at++) {
      const place = placesByRow[at] as number;
      const col = columns[place] as number;
      let entry = entryAtColumn[col] as number;
      if (entry < first) {
        entry = entries++;
        entryAtColumn[col] = entry;
        column[entry] = col;
      }
      entryOf[place] = entry;
    }
    rowStart[row + 1] = entries;
  }
  return { size, rowStart, column: column.slice(0, entries), entryOf };
}
