export interface Column {
  readonly title: string;
  readonly width: number;
}

const gap = '  ';

/** A table for a terminal: cells wrap inside their column, rows stand apart. A cell is one text a line. */
export function tableText(columns: readonly Column[], rows: readonly (readonly (readonly string[])[])[]): string {
  const rule = columns.map(({ width }) => '-'.repeat(width)).join(gap);
  const printed = rows.map((cells) => rowText(columns, cells));
  return [
    rowText(
      columns,
      columns.map(({ title }) => [title]),
    ),
    rule,
    printed.join(`\n${rule}\n`),
  ].join('\n');
}

function rowText(columns: readonly Column[], cells: readonly (readonly string[])[]): string {
  const wrapped = columns.map(({ width }, i) => (cells[i] ?? []).flatMap((text) => wrap(text, width)));
  const height = Math.max(1, ...wrapped.map((lines) => lines.length));
  return Array.from({ length: height }, (_, line) =>
    columns
      .map(({ width }, i) => (wrapped[i]?.[line] ?? '').padEnd(width))
      .join(gap)
      .trimEnd(),
  ).join('\n');
}

/** Lines of at most `width`, broken at spaces; a longer word is broken where it must be. Later lines stand in a little. */
export function wrap(text: string, width: number, indent = '  '): string[] {
  const lines: string[] = [];
  let line = '';
  const room = () => width - (lines.length === 0 ? 0 : indent.length);
  const end = () => {
    lines.push(lines.length === 0 ? line : `${indent}${line}`);
    line = '';
  };
  for (let word of text.split(' ')) {
    if (line !== '' && line.length + 1 + word.length > room()) end();
    while (word.length > room()) {
      line = word.slice(0, room());
      word = word.slice(room());
      end();
    }
    line = line === '' ? word : `${line} ${word}`;
  }
  if (line !== '') end();
  return lines;
}
