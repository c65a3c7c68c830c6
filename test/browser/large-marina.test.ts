import { beforeAll, describe, expect, test } from 'vitest';
import type { Inventory } from '../../core/inventory/inventory.ts';
import { rowOfSlips } from '../support/row-of-slips.ts';
import { noBrowser } from './browser.ts';
import { tellStory } from './story.ts';

const slips = 1_000;
const firstViewBytes = 100_000;

/** All on one dock, without the face. */
function oneLongDock(): Inventory {
  const all = rowOfSlips({ slips });
  return {
    ...all,
    spaceUnits: all.spaceUnits.filter(({ kind }) => kind !== 'face'),
    berths: all.berths.filter(({ faceFromM }) => faceFromM === null),
  };
}

/** Of each slip and night. */
const each = `FROM generate_series(1, ${slips}) slip, generate_series(0, 9) night`;
const [comes, goes] = [19, 40].map(
  (hour) => `'2030-06-10T00:00Z'::timestamptz + make_interval(days => night, hours => ${hour})`,
);
const fullBook = [
  `INSERT INTO boat (marina_id, id, name, facts) VALUES ('north', 'boat', 'Wandering Albatross of the South', '{}')`,
  `INSERT INTO stay (marina_id, id, boat_id, contact_name, arrival_at, departure_at, state, wishes)
   SELECT 'north', slip || '-' || night, 'boat', 'Q. Marlowe', ${comes}, ${goes}, 'promised', '{}' ${each}`,
  `INSERT INTO assignment (marina_id, id, stay_id, berth_id, orientation, from_at, until_at, occupied_until, findings,
     verdict, overrides, rules_edition, inventory_revision)
   SELECT 'north', slip || '-' || night, slip || '-' || night, 'S' || slip, 'bowIn', ${comes}, ${goes}, ${goes}, '[]',
     'clear', '[]', 'test', 1 ${each}`,
  `INSERT INTO space_use (marina_id, unit_id, from_m, until_m, from_at, until_at, assignment_id)
   SELECT 'north', 'S' || slip, 0, 1, ${comes}, ${goes}, slip || '-' || night ${each}`,
  // As a server does by itself after a while.
  'ANALYZE',
];

describe.skipIf(noBrowser !== null)('a dock of 1,000 berths', () => {
  const story = tellStory(oneLongDock());

  // Somebody else in every berth on every night: the fullest calendar that there can be.
  beforeAll(async () => {
    for (const statement of fullBook) await story.server.db.pool.query(statement);
  });

  for (const size of ['desk', 'phone'] as const) {
    test(`is seen part by part, light, its heads in sight (${size})`, async () => {
      const page = await story.open('harbormaster', { size });
      const answer = await page.goto('/marinas/north/calendar?dock=dock');
      expect(answer?.status()).toBe(200);
      const sizes = await answer?.request().sizes();
      expect(sizes?.responseBodySize).toBeLessThan(firstViewBytes);
      await expect(page.getByRole('row').count()).resolves.toBe(51);
      await page.getByLabel('Berths', { exact: true }).selectOption('S951 to S1000');
      await page.getByRole('button', { name: 'Show' }).click();
      const last = page.getByRole('rowheader', { name: 'S1000' });
      await last.scrollIntoViewIfNeeded();
      const head = await page.getByRole('columnheader', { name: 'Berth' }).boundingBox();
      const box = await last.boundingBox();
      expect(head !== null && box !== null && head.y >= 0 && head.y + head.height <= box.y + 1).toBe(true);
      expect(Number(await page.evaluate('document.documentElement.scrollWidth - window.innerWidth'))).toBe(0);
      await page.context().close();
    });
  }
});
