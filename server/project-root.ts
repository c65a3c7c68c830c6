import { existsSync } from 'node:fs';
import { dirname, join } from 'node:path';
import { fileURLToPath } from 'node:url';

/** The folder of package.json: the same for the sources and for what is built from them, one folder deeper. */
export const projectRoot = nearestPackage(dirname(fileURLToPath(import.meta.url)));

function nearestPackage(folder: string): string {
  if (existsSync(join(folder, 'package.json'))) return folder;
  const parent = dirname(folder);
  if (parent === folder) throw new Error('No package.json stands above the service.');
  return nearestPackage(parent);
}
