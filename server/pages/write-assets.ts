import { mkdir, writeFile } from 'node:fs/promises';
import { join } from 'node:path';
import { builtAssets, bundleAssets } from './assets.ts';

/** The build's step that bundles style sheet and scripts. */
await mkdir(builtAssets, { recursive: true });
for (const [name, bytes] of await bundleAssets()) await writeFile(join(builtAssets, name), bytes);
