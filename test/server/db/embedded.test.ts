import { mkdir, readdir, rm, writeFile } from 'node:fs/promises';
import { createServer } from 'node:net';
import { join } from 'node:path';
import { afterEach, beforeEach, expect, test } from 'vitest';
import { claimFolder, type FolderClaim } from '../../../server/db/folder-claim.ts';
import { emptyFolder } from '../../support/database.ts';

// Whole services on one folder are checked in main.test.ts; here is the claim that keeps them apart.
let folder: string;
beforeEach(async () => {
  folder = await emptyFolder();
});
afterEach(() => rm(folder, { recursive: true, force: true }));

test('a held folder is refused at once; a released one is free', async () => {
  const first = await claimFolder(folder, () => false);
  expect(first).not.toBe(null);
  expect(await claimFolder(folder, () => false)).toBe(null);
  await first?.release();
  const second = await claimFolder(folder, () => false);
  expect(second).not.toBe(null);
  await second?.release();
  expect(await readdir(folder)).toEqual([]);
});

test('of many at once at most one has it', async () => {
  for (let round = 0; round < 5; round++) {
    const claims = await Promise.all(Array.from({ length: 8 }, () => claimFolder(folder, () => false)));
    const held = claims.filter((claim): claim is FolderClaim => claim !== null);
    expect(held).toHaveLength(1);
    await held[0]?.release();
  }
});

test('the claim of a dead process is cleared away', async () => {
  const path = join(folder, 'dead0000.claim');
  const dead = createServer();
  await new Promise<void>((resolve) => dead.listen(path, resolve));
  // Closing removes the socket's file, so what is left behind is put back as a kill leaves it: there, but deaf.
  await new Promise((resolve) => dead.close(resolve));
  await writeFile(path, '');
  const claim = await claimFolder(folder, () => false);
  expect(claim).not.toBe(null);
  expect(await readdir(folder)).not.toContain('dead0000.claim');
  await claim?.release();
});

test('a claim whose service is gone is waited for, not refused', async () => {
  let isLeaving = false;
  const leaving = await claimFolder(folder, () => isLeaving);
  isLeaving = true;
  const next = claimFolder(folder, () => false);
  const early = await Promise.race([next, new Promise((resolve) => setTimeout(resolve, 500, 'waiting'))]);
  expect(early).toBe('waiting');
  await leaving?.release();
  expect(await next).not.toBe(null);
  await (await next)?.release();
});

test('waiting has an end', async () => {
  const leaving = await claimFolder(folder, () => true);
  expect(await claimFolder(folder, () => false, 300)).toBe(null);
  await leaving?.release();
});

test('a folder that is none is a fault, not a claim', async () => {
  await mkdir(join(folder, 'x'));
  await expect(claimFolder(join(folder, 'nowhere'), () => false)).rejects.toThrow();
});
