import type { ComponentChild } from 'preact';

interface Column<Row> {
  readonly head: string;
  readonly cell: (row: Row) => ComponentChild;
  /** Figures stand to the right. */
  readonly figures?: boolean;
  /** Short words that stand on one line. */
  readonly whole?: boolean;
  /** Names the row. */
  readonly heads?: boolean;
}

interface TableProps<Row> {
  /** For those who do not see the heading above it. */
  readonly caption: string;
  readonly columns: readonly Column<Row>[];
  readonly rows: readonly Row[];
  readonly keyOf: (row: Row) => string;
  /** What is said where there is no row. */
  readonly empty: string;
}

/** A table that becomes one block a row on a phone: each cell then carries its column's name. */
export function Table<Row>({ caption, columns, rows, keyOf, empty }: TableProps<Row>) {
  if (rows.length === 0) return <Empty>{empty}</Empty>;
  return (
    <table class="rows">
      <caption class="hidden">{caption}</caption>
      <thead>
        <tr>
          {columns.map(({ head, figures }) => (
            <th key={head} scope="col" class={figures ? 'figures' : undefined}>
              {head}
            </th>
          ))}
        </tr>
      </thead>
      <tbody>
        {rows.map((row) => (
          <tr key={keyOf(row)}>
            {columns.map(({ head, cell, figures, heads, whole }) =>
              heads ? (
                <th key={head} scope="row" class={figures ? 'figures' : undefined}>
                  {cell(row)}
                </th>
              ) : (
                <td key={head} data-head={head} class={figures ? 'figures' : whole ? 'whole' : undefined}>
                  {cell(row)}
                </td>
              ),
            )}
          </tr>
        ))}
      </tbody>
    </table>
  );
}

/** Says that there is nothing, and what to do about it. */
export function Empty({ children }: { readonly children: ComponentChild }) {
  return <p class="empty">{children}</p>;
}
