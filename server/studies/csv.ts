/**
 * A table as CSV (RFC 4180). Text that a spreadsheet would run as a formula gets an apostrophe before it; numbers stay
 * numbers, the negative ones too.
 */
export function csvOf(columns: readonly string[], rows: readonly (readonly (string | number | null)[])[]): string {
  return [columns, ...rows]
    .map((row) => row.map(cell).join(','))
    .join('\r\n')
    .concat('\r\n');
}

function cell(value: string | number | null): string {
  if (value === null) return '';
  if (typeof value === 'number') return String(value);
  const text = /^[=+\-@\t\r]/.test(value) && !/^-?\d+(\.\d+)?$/.test(value) ? `'${value}` : value;
  return /[",\r\n]/.test(text) ? `"${text.replaceAll('"', '""')}"` : text;
}
