import { randomBytes } from 'node:crypto';
import { parseArgs } from 'node:util';
import { z } from 'zod';
import { readConfig } from '../config.ts';
import { type Database, openDatabase } from '../db/client.ts';
import { Problem } from '../errors.ts';
import { roles } from '../http/access.ts';
import { id, line } from '../http/fields.ts';
import { createMarina } from '../marinas/create-marina.ts';
import { OperatorError } from '../operator-error.ts';
import { createUser } from '../users/create-user.ts';
import { login, password } from '../users/user-document.ts';
import { backUp } from './backup.ts';
import { restore } from './restore.ts';

/** The command line for whoever runs the service. It opens the same database as the service, from the same settings. */
const usage = `Usage:
  npm run quaywatt -- create-marina --id north --name "North Quay" --time-zone America/Chicago [--roles harbormaster,manager]
  npm run quaywatt -- create-user --marina north --login ines --name "Ines Calder" --role harbormaster
  npm run quaywatt -- backup <file>
  npm run quaywatt -- restore <file>

create-marina  makes an empty marina and prints one token for each role (default: harbormaster, manager).
create-user    lets a person sign in to the pages; the password is that of QUAYWATT_PASSWORD, else one is made and printed.
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
  if (command === 'create-user') return addUser(rest);
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
  throw new OperatorError(`"${command}" is no command. Use create-marina, create-user, backup, restore or help.`);
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

async function addUser(args: readonly string[]): Promise<void> {
  const values = readOptions(args);
  const marinaId = check('--marina', id, values.marina);
  // An argument would stay in the shell's history.
  const given = process.env.QUAYWATT_PASSWORD;
  const input = {
    login: check('--login', login, values.login),
    name: check('--name', line(100), values.name),
    role: check('--role', z.enum(roles), values.role),
    password: check('QUAYWATT_PASSWORD', password, given ?? randomBytes(15).toString('base64url')),
  };
  await withDatabase(async (db) => {
    try {
      await createUser(db, { principal: { id: 'operator', marinaId }, now: Date.now(), input });
    } catch (error) {
      throw error instanceof Problem ? new OperatorError(error.message) : error;
    }
    console.log(`${input.name} signs in at /sign-in?marina=${marinaId} as "${input.login}".`);
    if (given === undefined) console.log(`Password, shown only now: ${input.password}`);
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
  throw new OperatorError(
    `${name}: ${name === 'QUAYWATT_PASSWORD' ? 'its value' : `"${value}"`} is not usable. ${parsed.error.issues[0]?.message ?? ''}`,
  );
}

function readOptions(args: readonly string[]) {
  const option = { type: 'string' } as const;
  const options = {
    id: option,
    name: option,
    'time-zone': option,
    roles: option,
    marina: option,
    login: option,
    role: option,
  };
  try {
    return parseArgs({ args: [...args], options }).values;
  } catch (error) {
    throw new OperatorError(`${error instanceof Error ? error.message : error} See help.`);
  }
}
