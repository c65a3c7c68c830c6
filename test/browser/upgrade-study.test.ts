import type { Page } from 'playwright-core';
import { describe, expect, test } from 'vitest';
import { rowOfSlips } from '../support/row-of-slips.ts';
import { noBrowser, type Size } from './browser.ts';
import { tellStory } from './story.ts';

describe.skipIf(noBrowser !== null)('the manager and an upgrade', () => {
  // Three 30 A outlets on one line take 90 A: up to four receptacles count in full (NEC 555.12, first row of the table).
  const story = tellStory(rowOfSlips({ slips: 3, feederA: 60 }));

  const heading = (page: Page, name: RegExp) => page.getByRole('heading', { name });

  for (const size of ['desk', 'phone'] as const satisfies readonly Size[]) {
    test(`a study is begun, changed, replayed, chosen from and printed as a report (${size})`, async () => {
      const { server } = story;
      const call = { name: 'A. Thorne', boatName: `Halcyon ${size}`, beamM: 3, draftM: 1, hull: 'monohull' };
      const dates = { arrival: '2030-06-10', departure: '2030-06-13', plug: '30 A', lengthOverallM: 9 };
      expect((await server.call('harbormaster', 'POST', '/stays', { body: { ...call, ...dates } })).status).toBe(201);
      const page = await story.open('manager', { size });
      await page.getByRole('link', { name: 'Upgrades' }).click();
      await page.getByLabel('Name').fill(`Dock D by ${size}`);
      await page.getByLabel('Currency').fill('USD');
      await page.getByLabel('Rate, percent a year').fill('6');
      await page.getByLabel('Term, years').fill('10');
      await page.getByRole('button', { name: 'Begin a study' }).click();
      await page.getByRole('link', { name: 'Add a change' }).click();
      await page.getByLabel('What is done').fill('Feeder of 100 A');
      await page.getByLabel('Cost, USD').fill('80000');
      await page.getByLabel('Life, years').fill('25');
      await page.getByLabel('Days out of service while it is built').fill('20');
      await page.getByLabel('Who supplied the figures').fill('offer of an invented contractor');
      await page.getByRole('button', { name: 'Save' }).click();
      await page.getByLabel('Kind').selectOption({ label: 'breaker' });
      await page.getByLabel('Its id, or several').fill('feeder');
      await page.getByRole('button', { name: 'Choose' }).click();
      await page.getByLabel('Breaker, A').fill('100');
      await page.getByRole('button', { name: 'Put in place' }).click();
      await page.getByText('Breaker, A: 60 → 100').waitFor();
      await page.getByRole('link', { name: `Dock D by ${size}` }).click();
      const over = page.getByRole('row', { name: /^Parts beyond a limit/ });
      await expect(over.textContent()).resolves.toMatch(/^Parts beyond a limit10$/);
      const path = new URL(page.url()).pathname;

      await page.getByRole('link', { name: 'Replay a season' }).click();
      await page.getByLabel('First day').fill('2030-06-01');
      await page.getByLabel('Last day').fill('2030-06-20');
      await page.getByRole('button', { name: 'Run' }).click();
      // The page looks again by itself.
      await heading(page, /^Nights and income/).waitFor();

      await page.goto(`${path}/choice`);
      await page.getByLabel('Feeder of 100 A').first().fill('40');
      await page.getByLabel('Budget of stage 1, USD').fill('90000');
      await page.getByRole('button', { name: 'Choose' }).click();
      await heading(page, /^Benefit against cost/).waitFor();

      await page.goto(`${path}/report`);
      await expect(page.getByText('80,000.00 USD').count()).resolves.toBeGreaterThan(0);
      await page.getByRole('link', { name: 'Feeder of 100 A' }).first().waitFor();
      const download = page.waitForEvent('download');
      await page.getByRole('link', { name: 'CSV Demand against limits' }).click();
      expect((await download).suggestedFilename()).toBe('limits.csv');
      await page.emulateMedia({ media: 'print' });
      await expect(page.getByRole('navigation').count()).resolves.toBe(0);
      await expect(heading(page, /^Upgrade report/).isVisible()).resolves.toBe(true);
      if (size === 'desk') expect((await page.pdf({ format: 'Letter' })).subarray(0, 5).toString()).toBe('%PDF-');

      const { body: study } = await server.call('viewer', 'GET', path.replace('/marinas/', '/v1/marinas/'));
      // 6 % over 10 years in 120 payments: 11.102 a month for each 1,000 (mortgage tables, from memory), so 888.16.
      expect([study.name, study.cost, study.yearlyPayment]).toEqual([`Dock D by ${size}`, '80000.00', '10657.92']);
      await page.context().close();
    });
  }
});
