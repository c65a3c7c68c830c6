import { electricalCautions } from '../core/cautions.ts';
import { indexInventory } from '../core/inventory/index-inventory.ts';
import { readConfig } from '../server/config.ts';
import { type Database, openDatabase } from '../server/db/client.ts';
import { loadInventory } from '../server/inventory/load.ts';
import { OperatorError } from '../server/operator-error.ts';
import { localDay } from './days.ts';
import { renewDemoTokens } from './demo-tokens.ts';
import { renewDemoUsers } from './demo-users.ts';
import { demoMarinaId, loadDemo } from './load.ts';
import { arrivalsTable } from './print/arrivals.ts';
import { judgeArrivals } from './print/judge-arrivals.ts';
import { refusalsText } from './print/refusals.ts';

/**
 * `npm run demo`: opens the configured database, loads the invented marina where it is missing, prints today's
 * arrivals, and serves. `--once` ends after printing.
 */
try {
  await run(process.argv.slice(2));
} catch (error) {
  console.error(error instanceof OperatorError ? error.message : error);
  process.exitCode = error instanceof OperatorError ? 2 : 1;
}

async function run(args: readonly string[]): Promise<void> {
  const unknown = args.find((arg) => arg !== '--once');
  if (unknown !== undefined) throw new OperatorError(`"${unknown}" is no option of the demo. Use --once, or none.`);
  const config = readConfig(process.env);
  const now = Date.now();
  const serves = !args.includes('--once');
  console.log(
    config.databaseUrl === null ? `Opening the embedded database in ${config.dataDir} ...` : 'Opening PostgreSQL ...',
  );
  const db = await openDatabase(config);
  try {
    const loaded = await loadDemo(db, now, (line) => console.log(`  ${line}`));
    if (!loaded) console.log('The demo marina is there already; nothing was loaded.');
    await printDay(db, now);
    if (serves) await printAccess(db, now, config);
  } finally {
    await db.close();
  }
  console.log(`\n${electricalCautions.map((caution) => `! ${caution}`).join('\n')}`);
  // The service opens the database for itself, by the code that `npm start` runs.
  if (serves) await import('../server/main.ts');
}

async function printDay(db: Database, now: number): Promise<void> {
  const stored = await loadInventory(db.prisma, demoMarinaId);
  if (stored === null) throw new Error('the demo marina was not created');
  const index = indexInventory(stored.inventory);
  const arrivals = await judgeArrivals(db, demoMarinaId, index, now);
  const day = localDay(now, index.inventory.timeZone);
  console.log(`\n${index.inventory.name}, arrivals of ${day}: ${arrivals.length}`);
  if (arrivals.length === 0) {
    console.log(
      'Nobody is expected today: the demo was made for the day on which it was loaded, and its season thins out.',
    );
    return;
  }
  console.log(`\n${arrivalsTable(index, arrivals)}`);
  const refusals = refusalsText(arrivals);
  if (refusals !== null) console.log(`\n${refusals}`);
}

/** Where the pages and the API are, and who may use them. */
async function printAccess(db: Database, now: number, { host, port }: { host: string; port: number }): Promise<void> {
  // Port 0 is any free one: the service's own line names it.
  const address = port === 0 ? `http://${host}:<port>` : `http://${host}:${port}`;
  const { logins, password } = await renewDemoUsers(db, demoMarinaId, now);
  console.log(`\nPages: ${address}/sign-in?marina=${demoMarinaId}`);
  console.log(`  sign in as ${logins.join(', ')}; the password of this run, for each of them: ${password}`);
  console.log(`\nAPI: ${address}/v1/marinas/${demoMarinaId}   its description: ${address}/v1/docs`);
  console.log('Tokens of this run (those of earlier runs are revoked):');
  for (const { role, token } of await renewDemoTokens(db, demoMarinaId, now)) {
    console.log(`  ${role.padEnd(13)} ${token}`);
  }
}
