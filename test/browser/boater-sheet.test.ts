import { readFileSync } from 'node:fs';
import { createRequire } from 'node:module';
import type { Browser, Page } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { book, statedRow } from '../server/check-ins/fixture.ts';
import { startMarina } from '../server/occupancy/fixture.ts';
import type { TestServer } from '../support/server.ts';
import { launchBrowser, listen, noBrowser, openPage, type Size, signIn } from './browser.ts';

if (noBrowser !== null) console.warn(`The boater's sheet in a browser is skipped: ${noBrowser}`);

const axe = readFileSync(createRequire(import.meta.url).resolve('axe-core'), 'utf8');

describe.skipIf(noBrowser !== null)('a boater', () => {
  let server: TestServer;
  let browser: Browser;
  let baseURL: string;
  beforeAll(async () => {
    server = await startMarina(statedRow());
    browser = await launchBrowser();
    baseURL = await listen(server.app);
  });
  afterAll(async () => {
    await browser.close();
    await server.close();
  });

  const fifty = {
    inlets: [{ id: 'I1', configurationIds: { value: ['SS1-50', 'SS2-50'], origin: 'phone' } }],
    cordSets: null,
    frequenciesHz: null,
  };

  /** A boat of which "50 A" was said on the phone, with a link that its harbormaster made on the page. */
  async function linked(from: number): Promise<{ stayId: string; link: string }> {
    const { stayId } = await book(server, { name: 'Osprey', berthId: 'S1', from, until: from + 18, facts: fifty });
    const page = await openPage(browser, { baseURL });
    await signIn(page, server.tokens.harbormaster);
    await page.goto(`/marinas/north/stays/${stayId}/sheet`);
    await page.getByRole('button', { name: 'Make a link for the boater' }).click();
    const link = await page.getByRole('link', { name: /^\/sheets\// }).getAttribute('href');
    await page.context().close();
    return { stayId, link: link ?? '' };
  }

  it.each([
    ['phone', true],
    ['desk', false],
  ] as const)(
    'answers on a %s (scripts: %s) which plug it has, and the verdict changes',
    async (size: Size, scripts) => {
      const { stayId, link } = await linked(size === 'phone' ? 2 : 50);
      const page = await openPage(browser, { baseURL, size, scripts });
      page.setDefaultTimeout(20_000);
      await page.goto(link);
      await page.getByText('The hook-up is not confirmed').waitFor();
      await page.getByText('Is the 50 A plug 125 V (three wires) or 125/250 V (four wires)?').waitFor();
      await page.getByText(/stays off until an authorised person/).waitFor();
      await page.getByRole('radio', { name: /SS2-50: 50 A 125\/250 V locking/ }).check();
      await page.getByLabel(/^Your cord: length/).fill('50');
      await page.getByLabel('60 Hz', { exact: true }).check();
      await page.getByRole('button', { name: 'Send the answers' }).click();
      await page.getByText('Thank you. The sheet above is up to date.').waitFor();
      await page.getByText(/Hook-up: \w+ \(was: unconfirmed\)/).waitFor();
      await page.getByText(/^The hook-up is (judged clear|possible)/).waitFor();
      await page.getByText(/Issue 2/).waitFor();
      await page.getByRole('heading', { name: 'What changed since the issue before' }).waitFor();
      await page
        .getByText(/P1-A: SS2-50/)
        .first()
        .waitFor();
      expect(await page.getByText('Is the 50 A plug').count()).toBe(0);
      const { body } = await server.call('viewer', 'GET', '/alerts');
      expect(body.items.map((alert: { stayId: string }) => alert.stayId)).toContain(stayId);
      await page.context().close();
    },
  );

  it('is told what is wrong with an answer, beside the field', async () => {
    const { link } = await linked(100);
    const page = await openPage(browser, { baseURL, size: 'phone' });
    await page.goto(link);
    await page.getByLabel(/^Your cord: length/).fill('long');
    await page.getByRole('button', { name: 'Send the answers' }).click();
    await page
      .getByText(/Write a length/)
      .first()
      .waitFor();
    await page.context().close();
  });

  it('reads a page without any violation, light and dark, and so does the dockhand', async () => {
    const { stayId, link } = await linked(150);
    server.clock.now = Date.UTC(2030, 5, 10, 12) + 150 * 3_600_000;
    for (const dark of [false, true]) {
      const page = await openPage(browser, { baseURL, size: 'phone', dark });
      await page.goto(link);
      expect(await violations(page)).toEqual([]);
      await signIn(page, server.tokens.dockhand);
      await page.goto(`/marinas/north/stays/${stayId}/sheet`);
      expect(await violations(page)).toEqual([]);
      await page.goto('/marinas/north/check-in');
      await page.getByRole('button', { name: 'Load the shift' }).click();
      await page.getByText(/^Shift of/).waitFor();
      expect(await violations(page)).toEqual([]);
      await page
        .getByRole('link', { name: /^Osprey/ })
        .first()
        .click();
      await page.getByRole('heading', { name: 'Osprey', level: 2 }).waitFor();
      expect(await violations(page)).toEqual([]);
      for (const kind of ['wrongBerth', 'trip']) {
        await page.goto(`/marinas/north/check-in#report=${kind}`);
        await page.getByRole('button', { name: 'Store' }).waitFor();
        expect(await violations(page)).toEqual([]);
      }
      await page.context().close();
    }
  });
});

/** Violations of WCAG 2.2 AA that axe finds, with the elements. */
async function violations(page: Page): Promise<unknown> {
  // The content security policy lets no script in but the service's own; the browser's own way is not held by it.
  await page.evaluate(axe);
  return page.evaluate(`axe.run(document, { runOnly: ['wcag2a', 'wcag2aa', 'wcag21a', 'wcag21aa', 'wcag22aa'] })
    .then(({ violations }) => violations.map(({ id, nodes }) => [id, nodes.map(({ html }) => html.slice(0, 200))]))`);
}
