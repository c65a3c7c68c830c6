import type { Period } from '../../periods.ts';

/** Something that takes `amount` of a capacity for a time; `column` -1: it takes it whatever is planned. */
export interface Taking extends Period {
  readonly column: number;
  readonly amount: number;
}

export interface CliqueRow {
  readonly columns: number[];
  readonly amounts: number[];
  /** What is taken whatever is planned, meanwhile. */
  readonly fixed: number;
  readonly at: number;
}

/**
 * The moments at which a capacity can be passed, each with what takes of it then: only those before something ends, for
 * at all others less is taken than at one of these. O(n log n) and the size of the answer.
 */
export function cliqueRows(takings: readonly Taking[]): CliqueRow[] {
  const starts = [...takings].sort((a, b) => a.from - b.from);
  const rows: CliqueRow[] = [];
  let active: Taking[] = [];
  let next = 0;
  while (next < starts.length) {
    const at = starts[next]?.from ?? 0;
    active = active.filter(({ until }) => until > at);
    for (let taking = starts[next]; taking !== undefined && taking.from === at; taking = starts[++next])
      active.push(taking);
    const nextStart = starts[next]?.from ?? Number.POSITIVE_INFINITY;
    if (!active.some(({ until }) => until <= nextStart)) continue;
    const planned = active.filter(({ column }) => column >= 0);
    if (planned.length === 0) continue;
    rows.push({
      columns: planned.map(({ column }) => column),
      amounts: planned.map(({ amount }) => amount),
      fixed: active.reduce((sum, { column, amount }) => (column < 0 ? sum + amount : sum), 0),
      at,
    });
  }
  return rows;
}
