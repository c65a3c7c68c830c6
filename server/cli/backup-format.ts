import type pg from 'pg';

/**
 * A backup is text: one JSON document a line. First the header, then every row of every table as the database itself
 * writes it, then the count. Rows are passed on as text, so that no number is rounded on the way.
 */
export interface BackupHeader {
  readonly quaywattBackup: 1;
  readonly madeAt: string;
  /** The migrations of the database it was made from; it is restored into a database with the same ones. */
  readonly migrations: readonly string[];
}

/** The last line: without it, the file was cut short. */
export interface BackupEnd {
  readonly rows: number;
}

export function rowLine(table: string, row: string): string {
  return `{"table":"${table}","row":${row}}\n`;
}

/** The table and the row's text, or null for a line that is no row. */
export function readRowLine(line: string): { table: string; row: string } | null {
  const parts = /^\{"table":"(\w+)","row":(\{.*\})\}$/s.exec(line);
  return parts?.[1] === undefined || parts[2] === undefined ? null : { table: parts[1], row: parts[2] };
}

export async function appliedMigrations(client: pg.ClientBase): Promise<string[]> {
  const { rows } = await client.query<{ migration_name: string }>(
    'SELECT migration_name FROM _prisma_migrations WHERE rolled_back_at IS NULL ORDER BY migration_name',
  );
  return rows.map((row) => row.migration_name);
}

/** Every table of the service, those that others refer to first. Read from the database, so that none is forgotten. */
export async function tablesInOrder(client: pg.ClientBase): Promise<string[]> {
  const tables = await client.query<{ name: string; needs: string[] }>(
    `SELECT c.relname AS name,
            coalesce(array_agg(r.relname::text) FILTER (WHERE r.relname IS NOT NULL AND r.oid <> c.oid), '{}') AS needs
       FROM pg_class c
       LEFT JOIN pg_constraint f ON f.conrelid = c.oid AND f.contype = 'f' AND NOT f.condeferrable
       LEFT JOIN pg_class r ON r.oid = f.confrelid
      WHERE c.relkind IN ('r', 'p') AND NOT c.relispartition AND c.relnamespace = current_schema()::regnamespace AND c.relname <> '_prisma_migrations'
      GROUP BY c.relname, c.oid ORDER BY c.relname`,
  );
  const ordered: string[] = [];
  const open = new Map(tables.rows.map((table) => [table.name, table.needs]));
  while (open.size > 0) {
    const ready = [...open].filter(([, needs]) => needs.every((name) => !open.has(name))).map(([name]) => name);
    if (ready.length === 0)
      throw new Error(`The tables refer to each other in a circle: ${[...open.keys()].join(', ')}.`);
    for (const name of ready) open.delete(name);
    ordered.push(...ready);
  }
  return ordered;
}
