import { describe, expect, test } from 'vitest';
import { rowOfSlips } from '../support/row-of-slips.ts';
import { noBrowser } from './browser.ts';
import { tellStory } from './story.ts';

describe.skipIf(noBrowser !== null)('the manager', () => {
  const inventory = rowOfSlips({ slips: 4 });
  const story = tellStory(inventory);

  const openImport = async (size: 'desk' | 'phone') => {
    const page = await story.open('manager', { size });
    await page.goto('/marinas/north/inventory');
    await page.getByText('Bring in a document or a table').click();
    return page;
  };

  for (const size of ['desk', 'phone'] as const) {
    test(`a table with faults shows each at its row, and is stored when it has none (${size})`, async () => {
      const page = await openImport(size);
      await page.getByLabel('a CSV table of outlets').check();
      const heading = 'id,label,pedestalId,configurationId,lines,breakerA,groundFault.device';
      const rows = (ampere: string, pedestal: string) =>
        `${heading}\nO1,A,P1,L5-30,L1,30,fitted\nN-${size},B-${size},${pedestal},L5-30,L1,${ampere},fitted\n`;
      await page.getByLabel('or its text').fill(rows('thirty', 'P77'));
      await page.getByRole('button', { name: 'Store' }).click();
      const fault = page.getByRole('alert');
      await expect(fault.textContent()).resolves.toContain('Nothing was stored');
      // Of the row that is wrong, and no other.
      await expect(fault.getByRole('row').nth(1).textContent()).resolves.toMatch(/^3\/outlets\/\d+\/breakerA/);
      await expect(page.getByLabel('or its text').inputValue()).resolves.toContain('thirty');

      await page.getByLabel('or its text').fill(rows('30', 'P77'));
      await page.getByRole('button', { name: 'Check only' }).click();
      await expect(page.getByRole('alert').getByRole('row').nth(1).textContent()).resolves.toMatch(/^3.*P77/);

      await page.getByLabel('or its text').fill(rows('30', 'P1'));
      await page.getByRole('button', { name: 'Check only' }).click();
      await expect(page.getByRole('status').textContent()).resolves.toContain('outlets: 1 added');
      await page.getByRole('button', { name: 'Store' }).click();
      await page.waitForURL(/stored=/);
      const stored = await story.server.call('viewer', 'GET', `/outlets/N-${size}`);
      expect(stored.body).toMatchObject({ pedestalId: 'P1', breakerA: 30, lines: ['L1'] });
      await page.context().close();
    });
  }

  test('a document with faults shows each at its line; a file does as well as its text', async () => {
    const page = await openImport('desk');
    const { body } = await story.server.call('viewer', 'GET', '/inventory');
    const [first, ...others] = body.equipment;
    const faulty = JSON.stringify({ ...body, equipment: [{ ...first, breakerA: -98765 }, ...others] }, null, 1);
    const line = faulty.split('\n').findIndex((text) => text.includes('-98765')) + 1;
    await page.getByLabel('A file').setInputFiles({
      name: 'marina.json',
      mimeType: 'application/json',
      buffer: Buffer.from(faulty),
    });
    await page.getByRole('button', { name: 'Store' }).click();
    const row = page.getByRole('alert').getByRole('row').nth(1);
    await expect(row.textContent()).resolves.toMatch(new RegExp(`^${line}/equipment/0/breakerA`));

    await page.getByLabel('or its text').fill('{"name": "Half a document"');
    await page.getByRole('button', { name: 'Store' }).click();
    await expect(page.getByRole('alert').textContent()).resolves.toContain('Nothing was stored');
    expect((await story.server.call('viewer', 'GET', '/inventory')).body).toEqual(body);
    await page.context().close();
  });

  test('an item is changed in its own form, and a fault stands at its field', async () => {
    const page = await story.open('manager');
    await page.goto('/marinas/north/inventory/outlets/O2');
    await page.getByLabel('Breaker, A').fill('many');
    await page.getByRole('button', { name: 'Save' }).click();
    await expect(page.getByLabel('Breaker, A').getAttribute('aria-invalid')).resolves.toBe('true');
    await page.getByLabel('Breaker, A').fill('20');
    await page.getByRole('button', { name: 'Save' }).click();
    await page.waitForURL(/outlets$/);
    expect((await story.server.call('viewer', 'GET', '/outlets/O2')).body.breakerA).toBe(20);
    await page.context().close();
  });

  test('the marina sets its readings and its limits; a fault in one form leaves the other as it is stored', async () => {
    const page = await story.open('manager');
    await page.getByRole('link', { name: 'Settings' }).click();
    const checkIns = page.getByRole('form', { name: 'Check-ins and sheets' });
    await checkIns.getByLabel('leakage by a clamp that includes the ground').check();
    await checkIns.getByLabel('line to line').uncheck();
    await checkIns.getByLabel('Whom a boater calls').fill('the office, 555 0100');
    await checkIns.getByRole('button', { name: 'Save' }).click();
    await page.getByText('Stored.').waitFor();
    const stored = (await story.server.call('viewer', 'GET', '/check-in-settings')).body;
    expect(stored.mandatoryReadings).toContain('leakageWithGroundMa');
    expect(stored.mandatoryReadings).not.toContain('lineToLineV');

    const limits = page.getByRole('form', { name: 'Limits' });
    await limits.getByLabel('Usual hour of arrival').fill('noon');
    await limits.getByRole('button', { name: 'Save' }).click();
    await expect(page.getByRole('alert').textContent()).resolves.toContain('Usual hour of arrival');
    await expect(checkIns.getByLabel('Whom a boater calls').inputValue()).resolves.toBe('the office, 555 0100');
    const before = (await story.server.call('viewer', 'GET', '/settings')).body;
    await limits.getByLabel('Usual hour of arrival').fill('13');
    await limits.getByLabel('Lowest tide').fill('-1 ft 6');
    await limits.getByLabel('Refuse a cord').selectOption('yes');
    await limits.getByRole('button', { name: 'Save' }).click();
    await page.getByText('Stored.').waitFor();
    const after = (await story.server.call('viewer', 'GET', '/settings')).body;
    // 18 in of 25.4 mm.
    expect(after).toEqual({ ...before, arrivalHour: 13, lowestTideM: -0.457, refuseCordBelowBreaker: true });
    await page.context().close();
  });

  test('somebody is let in, signs in, and is let out again', async () => {
    const page = await story.open('manager');
    await page.goto('/marinas/north/people');
    const form = page.getByRole('form', { name: 'Let somebody sign in' });
    await form.getByLabel('Name').fill('Dana Whitlock');
    await form.getByLabel('Signs in as').fill('dana');
    await form.getByLabel('Password').fill('ladder cleat fender rope');
    await form.getByRole('button', { name: 'Create' }).click();
    const other = await story.browser.newPage({ baseURL: story.baseURL });
    await other.goto('/sign-in?marina=north');
    await other.getByLabel('Name to sign in').fill('dana');
    await other.getByLabel('Password').fill('ladder cleat fender rope');
    await other.getByRole('button', { name: 'Sign in', exact: true }).click();
    await other.waitForURL(/\/marinas\/north\//);
    await page
      .getByRole('row', { name: /Dana Whitlock/ })
      .getByRole('button', { name: 'Close' })
      .click();
    await page.waitForLoadState();
    await other.goto('/marinas/north/day');
    expect(other.url()).toContain('/sign-in');
    await other.context().close();
    await page.context().close();
  });

  test('demand over a season is drawn against its limits', async () => {
    const page = await story.open('manager');
    await page.goto('/marinas/north/load');
    await page.getByRole('link', { name: 'feeder', exact: true }).click();
    await page.locator('figure canvas').first().waitFor();
    await expect(page.getByText('breaker: 4000 A').first().count()).resolves.toBe(1);
    await page.context().close();
  });
});
