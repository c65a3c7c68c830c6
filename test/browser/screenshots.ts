import { mkdir, rm } from 'node:fs/promises';
import { join } from 'node:path';
import type { Page } from 'playwright-core';
import { renewDemoTokens } from '../../seed-demo/demo-tokens.ts';
import { demoMarinaId, loadDemo } from '../../seed-demo/load.ts';
import { buildApp } from '../../server/app.ts';
import { readConfig } from '../../server/config.ts';
import { openDatabase } from '../../server/db/client.ts';
import type { Role } from '../../server/http/access.ts';
import { allPages } from '../../server/pages/all-pages.ts';
import { createServices } from '../../server/services.ts';
import { launchBrowser, listen, noBrowser, openPage, type Size, signIn, sizes } from './browser.ts';
import { makePlan } from './make-plan.ts';
import { pathsOfPages } from './page-paths.ts';

/**
 * `npm run screenshots`: the demo marina in the configured database, and a picture of every page at both sizes, dark and as
 * printed, in `screenshots/`. Words after it choose pages: `npm run screenshots -- day docks`.
 */
if (noBrowser !== null) {
  console.error(noBrowser);
  process.exit(2);
}
const wanted = process.argv.slice(2);
const folder = join(process.cwd(), 'screenshots');
const now = Date.now();
const db = await openDatabase(readConfig(process.env));
try {
  await loadDemo(db, now, console.log);
  const tokens = await renewDemoTokens(db, demoMarinaId, now);
  const services = createServices({ db, clock: Date.now });
  const app = await buildApp(services, { logLevel: 'error', rateLimitPerMinute: 0, trustProxy: false });
  const baseURL = await listen(app);
  const browser = await launchBrowser();
  if (wanted.length === 0) await rm(folder, { recursive: true, force: true });
  await mkdir(folder, { recursive: true });
  const tokenOf = (role: Role) => tokens.find((token) => token.role === role)?.token ?? '';
  const week = { from: new Date(now).toISOString(), until: new Date(now + 7 * 86_400_000).toISOString() };
  await makePlan({ app, services, marinaId: demoMarinaId, token: tokenOf('harbormaster'), period: week });
  const looks: { name: string; size: Size; dark: boolean; print?: boolean }[] = [
    { name: 'desk', size: 'desk', dark: false },
    { name: 'phone', size: 'phone', dark: false },
    { name: 'dark', size: 'phone', dark: true },
    { name: 'print', size: 'desk', dark: false, print: true },
  ];
  const paths = (await pathsOfPages(db.prisma, demoMarinaId, now)).filter(
    ({ name }) => wanted.length === 0 || wanted.some((word) => name.includes(word)),
  );
  for (const { name: look, size, dark, print = false } of looks) {
    for (const role of ['harbormaster', 'dockhand', 'manager', 'viewer', 'public'] as const) {
      const mine = paths.filter((path) => path.role === role);
      if (mine.length === 0) continue;
      const page = await openPage(browser, { baseURL, size, dark });
      if (role !== 'public') await signIn(page, tokenOf(role));
      if (print) await page.emulateMedia({ media: 'print' });
      for (const { name, path } of mine) await picture(page, path, join(folder, `${name}.${look}.png`));
      await page.context().close();
    }
  }
  await browser.close();
  await app.close();
  console.log(`${paths.length} views of ${allPages.length} pages, in ${folder}.`);
} finally {
  await db.close();
}

async function picture(page: Page, path: string, file: string): Promise<void> {
  const answer = await page.goto(path, { waitUntil: 'networkidle' });
  // A document of data is not a page to look at.
  if (!(answer?.headers()['content-type'] ?? '').includes('html')) return;
  const width = await page.evaluate('document.documentElement.scrollWidth');
  const seen = page.viewportSize()?.width ?? sizes.desk.width;
  if (Number(width) > seen) console.log(`WIDER than its window: ${path} is ${width} px in ${seen}`);
  if ((answer?.status() ?? 500) >= 400) console.log(`STATUS ${answer?.status()} of ${path}`);
  await page.screenshot({ path: file, fullPage: true });
}
