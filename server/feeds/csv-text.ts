const startsFormula = /^[=+\-@\t\r]/;
/** Money comes as decimal text: below zero it is a number still. */
const isNumber = /^-?\d+(\.\d+)?$/;

/**
 * Lines of CSV by RFC 4180. A text that a spreadsheet would take for a formula gets an apostrophe before it, which
 * `fromCell` takes off again.
 */
export function csvText(lines: readonly (readonly (string | number | null)[])[]): string {
  return lines.map((cells) => `${cells.map(cellOf).join(',')}\r\n`).join('');
}

function cellOf(value: string | number | null): string {
  if (value === null) return '';
  if (typeof value === 'number') return String(value);
  const safe = startsFormula.test(value) && !isNumber.test(value) ? `'${value}` : value;
  return /[",\r\n]/.test(safe) ? `"${safe.replaceAll('"', '""')}"` : safe;
}

/** A cell as it was before `csvText` made it harmless. */
export function fromCell(cell: string): string {
  return cell.startsWith("'") && startsFormula.test(cell.slice(1)) ? cell.slice(1) : cell;
}
