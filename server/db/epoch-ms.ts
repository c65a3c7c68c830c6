/** SQL for an instant as epoch milliseconds, exactly: columns keep whole milliseconds. */
export function epochMs(column: string): string {
  return `(extract(epoch FROM ${column}) * 1000)::float8`;
}
