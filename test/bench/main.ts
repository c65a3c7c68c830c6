import { mkdir, writeFile } from 'node:fs/promises';
import { cpus } from 'node:os';
import { run as demand } from './demand.ts';
import { run as holiday } from './holiday.ts';
import { run as hookUp } from './hook-up.ts';
import type { Figures } from './measure.ts';
import { run as optionsInCore } from './options-core.ts';
import { run as plan } from './plan.ts';
import { run as powerFlow } from './power-flow.ts';
import { run as service } from './service.ts';
import { curve, readings, replay } from './upgrades.ts';

/**
 * Measures and writes `bench-results/<time>.json`. On the embedded database, or with TEST_DATABASE_URL on that PostgreSQL
 * server. Times are medians of one run on one machine: only their ratios mean anything elsewhere.
 */
const parts: Readonly<Record<string, () => Promise<readonly object[]>>> = {
  'options-core': optionsInCore,
  service,
  'power-flow': powerFlow,
  plan,
  holiday,
  'hook-up': hookUp,
  readings,
  replay,
  curve,
  demand,
};
const asked = process.argv.slice(2);
/** Parts that belong together, and can be measured one by one. */
const together: Readonly<Record<string, readonly string[]>> = { upgrades: ['readings', 'replay', 'curve'] };
const names = asked.length === 0 ? Object.keys(parts) : asked.flatMap((name) => together[name] ?? [name]);
const results: Record<string, readonly object[]> = {};
for (const name of names) {
  const part = parts[name];
  if (part === undefined) throw new Error(`There is no bench "${name}". Choose of: ${Object.keys(parts).join(', ')}.`);
  results[name] = await part();
  console.log(`\n${name}`);
  console.table(results[name] as Figures[]);
}
const folder = 'bench-results';
await mkdir(folder, { recursive: true });
const file = `${folder}/${new Date().toISOString().replaceAll(':', '-')}.json`;
const machine = { node: process.version, cpus: cpus().length, model: cpus()[0]?.model };
await writeFile(file, `${JSON.stringify({ machine, results }, null, 2)}\n`);
console.log(`\nWritten to ${file}`);
