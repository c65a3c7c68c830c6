import { parseArgs } from 'node:util';
import { z } from 'zod';
import { readConfig } from '../config.ts';
import { type Database, openDatabase } from '../db/client.ts';
import { roles } from '../http/access.ts';
import { id, line } from '../http/fields.ts';
import { createMarina } from '../marinas/create-marina.ts';
import { OperatorError } from '../operator-error.ts';
import { backUp } from './backup.ts';
import { restore } from './restore.ts';

/** The command line for whoever runs the service. It opens the same database as the service, from the same settings. */
const usage = `Usage:
  npm run quaywatt -- create-marina --id north --name "North Quay" --time-zone America/Chicago [--roles harbormaster,manager]
  npm run quaywatt -- backup <file>
  npm run quaywatt -- restore <file>

create-marina  makes an empty marina and prints one token for each role (default: harbormaster, manager).
backup         writes all that is stored to a new file; the embedded database only while its service is stopped.
restore        reads a backup into an empty database, of either kind.

The database is that of DATABASE_URL or, without it, the embedded one in DATA_DIR (default: data).`;

try {
  await run(process.argv.slice(2));
} catch (error) {
  console.error(error instanceof OperatorError ? error.message : error);
  process.exitCode = error instanceof OperatorError ? 2 : 1;
}

async function run(args: readonly string[]): Promise<void> {
  const [command, ...rest] = args;
  if (command === undefined || command === 'help' || command === '--help') return console.log(usage);
  if (command === 'create-marina') return create(rest);
  if (command === 'backup') {
    const path = oneFile(rest, command);
    return withDatabase(async (db) => {
      const rows = await backUp(db, path, Date.now());
      console.log(
        `Wrote ${rows} rows to ${path}. Keep it private: it holds names, telephone numbers and token hashes.`,
      );
    });
  }
  if (command === 'restore') {
    const path = oneFile(rest, command);
    return withDatabase(async (db) => console.log(`Restored ${await restore(db, path)} rows from ${path}.`));
  }
  throw new OperatorError(`"${command}" is no command. Use create-marina, backup, restore or help.`);
}

async function create(args: readonly string[]): Promise<void> {
  const values = readOptions(args);
  const wanted = values.roles ?? 'harbormaster,manager';
  const marina = {
    id: check('--id', id, values.id),
    name: check('--name', line(200), values.name),
    timeZone: check('--time-zone', z.string(), values['time-zone']),
    roles: [...new Set(wanted.split(','))].map((role) => check('--roles', z.enum(roles), role)),
  };
  await withDatabase(async (db) => {
    const tokens = await createMarina(db, marina, Date.now());
    console.log(`Marina "${marina.name}": /v1/marinas/${marina.id}`);
    for (const { role, token } of tokens) console.log(`${role}: ${token}`);
    console.log('The tokens are shown only now. Keep them safe.');
  });
}

async function withDatabase(work: (db: Database) => Promise<void>): Promise<void> {
  const db = await openDatabase(readConfig(process.env));
  try {
    await work(db);
  } finally {
    await db.close();
  }
}

function oneFile(args: readonly string[], command: string): string {
  const [path, ...more] = args;
  if (path === undefined || more.length > 0) throw new OperatorError(`${command} takes one file name. See help.`);
  return path;
}

function check<Schema extends z.ZodType>(name: string, schema: Schema, value: unknown): z.output<Schema> {
  if (value === undefined) throw new OperatorError(`${name} is missing. See help.`);
  const parsed = schema.safeParse(value);
  if (parsed.success) return parsed.data;
  throw new OperatorError(`${name}: "${value}" is not usable. ${parsed.error.issues[0]?.message ?? ''}`);
}

function readOptions(args: readonly string[]) {
  const option = { type: 'string' } as const;
  const options = { id: option, name: option, 'time-zone': option, roles: option };
  try {
    return parseArgs({ args: [...args], options }).values;
  } catch (error) {
    throw new OperatorError(`${error instanceof Error ? error.message : error} See help.`);
  }
}
