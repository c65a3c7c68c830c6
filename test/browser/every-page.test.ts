import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import type { Page, Request } from 'playwright-core';
import { beforeAll, describe, expect, test, vi } from 'vitest';
import type { Inventory } from '../../core/inventory/inventory.ts';
import { projectRoot } from '../../server/project-root.ts';
import { rowOfSlips } from '../support/row-of-slips.ts';
import { noBrowser, openPage } from './browser.ts';
import { makePlan } from './make-plan.ts';
import { type PagePath, pathsOfPages } from './page-paths.ts';
import { tellStory } from './story.ts';

const hostile = '<img src=x onerror=alert(1)>"><script>alert(2)</script>';
const firstViewBytes = 100_000;
const axe = readFileSync(join(projectRoot, 'node_modules/axe-core/axe.min.js'), 'utf8');

/** The row of slips with a name that would do harm on everything that has one. */
function hostileMarina(): Inventory {
  const plain = rowOfSlips({ slips: 3 });
  const named = <T extends { readonly id: string }>(items: readonly T[]) =>
    items.map((item) => ({ ...item, label: `${item.id} ${hostile}` }));
  return {
    ...plain,
    name: hostile,
    docks: named(plain.docks),
    equipment: named(plain.equipment),
    pedestals: named(plain.pedestals),
    outlets: named(plain.outlets),
    spaceUnits: named(plain.spaceUnits),
    berths: named(plain.berths),
    adapterStock: named(plain.adapterStock),
  };
}

describe.skipIf(noBrowser !== null)('every page', () => {
  const story = tellStory(hostileMarina());
  let paths: readonly PagePath[];

  beforeAll(async () => {
    const call = {
      name: hostile,
      boatName: hostile,
      note: hostile,
      lengthOverallM: 9,
      beamM: 3,
      draftM: 1,
      hull: 'monohull',
    };
    const dates = { arrival: '2030-06-10', departure: '2030-06-13' };
    const enter = async (more: object) =>
      (await story.server.call('harbormaster', 'POST', '/stays', { body: { ...call, ...dates, ...more } })).body.stay;
    const held = await enter({ plug: '30 A' });
    await story.server.call('harbormaster', 'POST', `/stays/${held.id}/assign`, { body: { berthId: 'S1' } });
    await enter({ plug: '50 A' });
    const holding = { berthId: 'S2', holderName: hostile, from: '2030-01-01T00:00:00Z', outlets: [{ outletId: 'O2' }] };
    await story.server.call('harbormaster', 'POST', '/holdings', { body: holding });
    const away = { ...call, ...dates, reasons: [{ rule: 'fit.length', note: hostile }] };
    await story.server.call('harbormaster', 'POST', '/turned-away', { body: away });
    const closing = { outletId: 'O3', reason: hostile, from: '2030-06-10T00:00:00Z', until: '2030-06-20T00:00:00Z' };
    await story.server.call('harbormaster', 'POST', '/out-of-service', { body: closing });
    const feeder = hostileMarina().equipment.find(({ id }) => id === 'feeder');
    const change = {
      id: 'larger',
      label: hostile,
      items: [{ collection: 'equipment', id: 'feeder', item: { ...feeder, breakerA: 5000 } }],
      cost: '80000',
      lifeYears: 25,
      outOfServiceDays: 20,
      suppliedBy: hostile,
      requires: [],
    };
    const loan = { ratePercent: '6', years: 10, paymentsPerYear: 1 };
    const study = { name: hostile, currency: 'USD', edition: '2020', loan, changes: [change] };
    const begun = await story.server.call('manager', 'POST', '/studies', { body: study });
    expect(begun.status).toBe(201);
    const season = { chosen: null, from: '2030-06-01T00:00:00Z', until: '2030-06-20T00:00:00Z', seasons: 1 };
    const stages = [{ id: 'first', budget: '90000', benefitYears: 10 }];
    for (const run of [
      { replay: season },
      { choice: { benefits: [{ id: 'larger', value: 40, needs: ['larger'] }], stages } },
    ]) {
      const { body } = await story.server.call('manager', 'POST', `/studies/${begun.body.id}/runs`, { body: run });
      const state = async () =>
        (await story.server.call('viewer', 'GET', `/studies/${begun.body.id}/runs/${body.id}`)).body.state;
      await vi.waitFor(async () => expect(await state()).toBe('done'), { timeout: 20_000, interval: 100 });
    }
    const { app, services, tokens } = story.server;
    const period = { from: '2030-06-10T13:00:00Z', until: '2030-06-17T00:00:00Z' };
    await makePlan({ app, services, marinaId: 'north', token: tokens.harbormaster, period });
    paths = await pathsOfPages(story.server.db.prisma, 'north', story.server.clock.now);
  });

  for (const look of [
    { size: 'desk', dark: false },
    { size: 'phone', dark: false },
    { size: 'phone', dark: true },
  ] as const) {
    const how = `${look.size}${look.dark ? ', dark' : ''}`;
    test(`keeps WCAG 2.2 AA, its width, its weight and harmless names (${how})`, async () => {
      const faults: string[] = [];
      for (const role of new Set(paths.map((path) => path.role))) {
        const page =
          role === 'public'
            ? await openPage(story.browser, { baseURL: story.baseURL, ...look })
            : await story.open(role, look);
        page.on('dialog', (dialog) => {
          faults.push(`a name ran as a script: ${page.url()}`);
          void dialog.dismiss();
        });
        page.on('console', (message) => {
          if (message.type() === 'error') faults.push(`${page.url()}: ${message.text()}`);
        });
        for (const { path } of paths.filter((each) => each.role === role)) faults.push(...(await lookAt(page, path)));
        await page.context().close();
      }
      expect(faults).toEqual([]);
    });
  }

  async function lookAt(page: Page, path: string): Promise<string[]> {
    const faults: string[] = [];
    const requests: Promise<{ responseBodySize: number; responseHeadersSize: number }>[] = [];
    const count = (request: Request) => requests.push(request.sizes());
    page.on('requestfinished', count);
    const answer = await page.goto(path, { waitUntil: 'networkidle' });
    page.off('requestfinished', count);
    if (answer?.status() !== 200) return [`${path}: ${answer?.status()}`];
    if (!(answer.headers()['content-type'] ?? '').includes('html')) return [];
    const sizes = await Promise.all(requests);
    const bytes = sizes.reduce((sum, size) => sum + size.responseBodySize + size.responseHeadersSize, 0);
    if (bytes > firstViewBytes) faults.push(`${path}: first view of ${bytes} bytes`);
    const width = Number(await page.evaluate('document.documentElement.scrollWidth - window.innerWidth'));
    if (width > 0) faults.push(`${path}: ${width} px wider than the window`);
    if (Number(await page.evaluate("document.querySelectorAll('img, main script').length")) > 0) {
      faults.push(`${path}: a name became an element`);
    }
    await page.evaluate(axe);
    const violations: unknown = await page.evaluate(
      `axe.run({ runOnly: ['wcag2a', 'wcag2aa', 'wcag21a', 'wcag21aa', 'wcag22aa', 'best-practice'] }).then(({ violations }) =>
        violations.map(({ id, nodes }) => id + ': ' + nodes.slice(0, 3).map(({ html }) => html).join(' ')))`,
    );
    return [...faults, ...(Array.isArray(violations) ? violations.map((words) => `${path}: ${words}`) : ['no answer'])];
  }

  test("is not there for people of another marina, whose pages look the same as none's", async () => {
    const page = await openPage(story.browser, { baseURL: story.baseURL });
    await page.goto('/sign-in');
    await page.getByText('Sign in with a token').first().click();
    await page.getByLabel('Token').fill(story.server.foreignTokens.manager);
    await page.getByRole('button', { name: 'Sign in with the token' }).click();
    await page.waitForURL(/\/marinas\/south\//);
    for (const { path, role } of paths) {
      if (role === 'public' || !path.startsWith('/marinas/')) continue;
      expect((await page.request.get(path)).status(), path).toBe(404);
    }
    await page.context().close();
  });
});
