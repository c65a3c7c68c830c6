import { existsSync, readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { packageVersion } from './app.ts';
import { openApiDocument } from './http/openapi.ts';
import { projectRoot } from './project-root.ts';
import { apiRoutes } from './routes.ts';

/** Writes the API's description to server/openapi.json; with `--check` it only says whether the file is up to date. */
const path = join(projectRoot, 'server/openapi.json');
const text = `${JSON.stringify(openApiDocument(apiRoutes, packageVersion()), null, 2)}\n`;
if (!process.argv.includes('--check')) {
  writeFileSync(path, text);
} else if (!existsSync(path) || readFileSync(path, 'utf8') !== text) {
  console.error('server/openapi.json differs from the routes. Run "npm run openapi" and commit the file.');
  process.exitCode = 1;
}
