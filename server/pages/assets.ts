import { createHash } from 'node:crypto';
import { existsSync } from 'node:fs';
import { readdir, readFile } from 'node:fs/promises';
import { join } from 'node:path';
import { gzipSync } from 'node:zlib';
import { build } from 'esbuild';
import { projectRoot } from '../project-root.ts';

/** Scripts of the pages, each bundled from `client/<name>.ts`. */
export const scriptNames = ['partial', 'plot', 'check-in', 'check-in-worker'] as const;
export type ScriptName = (typeof scriptNames)[number];

interface Asset {
  readonly url: string;
  readonly type: string;
  readonly bytes: Buffer;
  /** The same, compressed once for all. */
  readonly gzip: Buffer;
}

/** Style sheet and scripts by address; the address holds a hash of the contents, so a browser may keep them for ever. */
export interface Assets {
  readonly style: string;
  readonly icon: string;
  script(name: ScriptName): string;
  at(url: string): Asset | undefined;
}

/** Where the build puts them. */
export const builtAssets = join(projectRoot, 'dist', 'assets');

let loaded: Promise<Assets> | null = null;

/** The assets of the build when the service runs from it; else bundled now, once. */
export function assets(): Promise<Assets> {
  loaded ??= load();
  return loaded;
}

async function load(): Promise<Assets> {
  const isBuilt = import.meta.filename.endsWith('.js') && existsSync(builtAssets);
  const files = isBuilt ? await readBuilt() : await bundleAssets();
  const byName = new Map(files.map(([name, bytes]) => [name, assetOf(name, bytes)]));
  const byUrl = new Map([...byName.values()].map((asset) => [asset.url, asset]));
  const urlOf = (name: string) => {
    const asset = byName.get(name);
    if (asset === undefined) throw new Error(`There is no asset "${name}".`);
    return asset.url;
  };
  return {
    style: urlOf('style.css'),
    icon: urlOf('icon.svg'),
    script: (name) => urlOf(`${name}.js`),
    at: (url) => byUrl.get(url),
  };
}

/** Bundles the style sheet and the scripts: name and contents of each. */
export async function bundleAssets(): Promise<(readonly [string, Buffer])[]> {
  // From the sources, also when the build runs this.
  const folder = join(projectRoot, 'server', 'pages');
  const result = await build({
    entryPoints: [
      join(folder, 'style', 'style.css'),
      join(folder, 'style', 'icon.svg'),
      ...scriptNames.map((name) => join(folder, 'client', `${name}.ts`)),
    ],
    loader: { '.svg': 'copy' },
    outdir: 'assets',
    entryNames: '[name]',
    bundle: true,
    minify: true,
    format: 'iife',
    target: ['es2022'],
    legalComments: 'none',
    write: false,
    logLevel: 'silent',
  });
  return result.outputFiles.map(({ path, contents }) => [path.split(/[/\\]/).at(-1) ?? path, Buffer.from(contents)]);
}

async function readBuilt(): Promise<(readonly [string, Buffer])[]> {
  const names = await readdir(builtAssets);
  return Promise.all(names.map(async (name) => [name, await readFile(join(builtAssets, name))] as const));
}

const types: Readonly<Record<string, string>> = {
  css: 'text/css; charset=utf-8',
  js: 'text/javascript; charset=utf-8',
  svg: 'image/svg+xml',
};

function assetOf(name: string, bytes: Buffer): Asset {
  const hash = createHash('sha256').update(bytes).digest('hex').slice(0, 12);
  const [stem, ending] = name.split('.');
  const type = types[ending ?? ''] ?? 'application/octet-stream';
  return { url: `/assets/${stem}.${hash}.${ending}`, type, bytes, gzip: gzipSync(bytes) };
}
