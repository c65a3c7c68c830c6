import { execFile } from 'node:child_process';
import { cp, mkdir, mkdtemp, rm, symlink, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { dirname, join } from 'node:path';
import { afterEach, expect, test } from 'vitest';

const root = join(import.meta.dirname, '../..');
const folders: string[] = [];

afterEach(async () => {
  for (const folder of folders.splice(0)) await rm(folder, { recursive: true, force: true });
});

/** A small tree of the project's shape with the project's own rules, and these files in it. */
async function cruise(files: Readonly<Record<string, string>>): Promise<{ code: number; output: string }> {
  const folder = await mkdtemp(join(tmpdir(), 'imports-'));
  folders.push(folder);
  for (const name of ['.dependency-cruiser.cjs', 'tsconfig.json', 'tsconfig.base.json', 'package.json']) {
    await cp(join(root, name), join(folder, name));
  }
  await symlink(join(root, 'node_modules'), join(folder, 'node_modules'));
  const sound = {
    'core/sound.ts': 'export const one = 1;\n',
    'server/main.ts': "export { one } from '../core/sound.ts';\n",
  };
  for (const [path, text] of Object.entries({ ...sound, ...files })) {
    await mkdir(dirname(join(folder, path)), { recursive: true });
    await writeFile(join(folder, path), text);
  }
  const tops = [...new Set(Object.keys({ ...sound, ...files }).map((path) => path.split('/')[0] ?? ''))];
  const cli = join(root, 'node_modules/dependency-cruiser/bin/dependency-cruise.mjs');
  return new Promise((resolve) => {
    execFile(
      process.execPath,
      [cli, '--config', '.dependency-cruiser.cjs', ...tops],
      { cwd: folder },
      (error, out, err) => {
        resolve({ code: error === null ? 0 : Number(error.code), output: out + err });
      },
    );
  });
}

test('a sound tree passes, and its files were read', async () => {
  const { code, output } = await cruise({});
  expect(output).toMatch(/no dependency violations found \(2 modules/);
  expect(code).toBe(0);
});

test.each([
  ['core imports the server', { 'core/planted.ts': "import '../server/main.ts';\n" }, 'core-is-pure'],
  ['core imports a package', { 'core/planted.ts': "import 'zod';\n" }, 'core-is-pure'],
  ['core imports from Node', { 'core/planted.ts': "import 'node:fs';\n" }, 'core-is-pure'],
  [
    'core imports a type from the server',
    { 'core/planted.ts': "export type { x } from '../server/main.ts';\n" },
    'core-is-pure',
  ],
  [
    'the server imports the demo',
    { 'server/planted.ts': "import '../seed-demo/demo.ts';\n", 'seed-demo/demo.ts': '' },
    'server-does-not-know',
  ],
  [
    'the demo imports a test',
    { 'seed-demo/planted.ts': "import '../test/a.ts';\n", 'test/a.ts': '' },
    'seed-does-not-know',
  ],
  ['a circle', { 'core/a.ts': "import './b.ts';\n", 'core/b.ts': "import './a.ts';\n" }, 'no-circles'],
  ['a missing file', { 'server/planted.ts': "import './nowhere.ts';\n" }, 'resolves'],
])('%s: refused', async (_name, files, rule) => {
  const { code, output } = await cruise(files as Record<string, string>);
  expect(output).toContain(rule);
  expect(code).toBeGreaterThan(0);
});
