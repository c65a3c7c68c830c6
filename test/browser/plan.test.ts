import type { Page } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import type { Inventory } from '../../core/inventory/inventory.ts';
import { type PlanWorker, startPlanWorker } from '../../server/plans/plan-worker.ts';
import { rowOfSlips } from '../support/row-of-slips.ts';
import { noBrowser } from './browser.ts';
import { tellStory } from './story.ts';

/** Two slips and no face; only the first takes a boat of more than 9 m. */
function longAndShort(): Inventory {
  const all = rowOfSlips({ slips: 2 });
  return {
    ...all,
    spaceUnits: all.spaceUnits.filter(({ kind }) => kind !== 'face'),
    berths: all.berths
      .filter(({ faceFromM }) => faceFromM === null)
      .map((berth) => (berth.id === 'S2' ? { ...berth, lengthM: 9.5 } : berth)),
  };
}

describe.skipIf(noBrowser !== null)("the week's plan", () => {
  const story = tellStory(longAndShort());
  let worker: PlanWorker;
  beforeAll(async () => {
    worker = await startPlanWorker(story.server.services, (error) => {
      throw error;
    });
  });
  afterAll(() => worker.stop());

  const enter = async (boatName: string, lengthOverallM: number, days: readonly [string, string]) => {
    const call = { name: 'R. Amsel', boatName, lengthOverallM, beamM: 3, draftM: 1, hull: 'monohull', plug: '30 A' };
    const body = { ...call, arrival: days[0], departure: days[1] };
    const answer = await story.server.call('harbormaster', 'POST', '/stays', { body });
    expect(answer.status, JSON.stringify(answer.body)).toBe(201);
    return String(answer.body.stay.id);
  };
  const hold = async (stayId: string, berthId: string) => {
    const held = await story.server.call('harbormaster', 'POST', `/stays/${stayId}/assign`, { body: { berthId } });
    expect(held.status, JSON.stringify(held.body)).toBe(200);
  };
  const berthOf = async (stayId: string) => {
    const { body } = await story.server.call('viewer', 'GET', `/stays/${stayId}`);
    return [body.stay.state, ...body.assignments.map(({ berthId }: { berthId: string }) => berthId)].join(' ');
  };
  const ask = async (page: Page, firstDay: string) => {
    await page.getByRole('link', { name: 'Week plan' }).click();
    await page.getByLabel('From', { exact: true }).fill(firstDay);
    await page.getByRole('button', { name: 'Make the plan' }).click();
    await page.waitForURL(/\/plans\/[\w-]{30,}$/);
  };

  // Each tells it of a week of its own.
  for (const [size, scripts, week] of [
    ['desk', true, '2030-07-01'],
    ['phone', true, '2030-08-01'],
    ['desk', false, '2030-09-01'],
  ] as const) {
    test(`is made, watched, compared with today's and accepted (${size}, scripts ${scripts ? 'on' : 'off'})`, async () => {
      const month = week.slice(0, 8);
      const days = [`${month}02`, `${month}05`] as const;
      const small = await enter(`Plover ${size}`, 8.5, days);
      await hold(small, 'S1');
      const long = await enter(`Godwit ${size}`, 12.5, days);
      const other = await enter(`Curlew ${size}`, 12.5, days);
      const page = await story.open('harbormaster', { size, scripts });
      await ask(page, week);
      const moved = page.getByRole('region', { name: 'Who moves' });
      if (scripts) await moved.waitFor();
      else {
        // Without scripts somebody looks again.
        const again = page.getByRole('link', { name: 'Look again' });
        while ((await again.count()) > 0) await again.click();
      }
      await expect(page.getByRole('status').textContent()).resolves.toMatch(/^Proven best/);
      await expect(moved.getByRole('row').nth(1).textContent()).resolves.toMatch(/Plover.*S1.*S2/);
      const placed = await page.getByRole('region', { name: 'Newly placed' }).getByRole('row').nth(1).textContent();
      expect(placed).toMatch(/(Godwit|Curlew).*S1/);
      const unplaced = page.getByRole('region', { name: 'Without a berth' });
      await expect(unplaced.textContent()).resolves.toMatch(/too long for any free place: one berth/);
      await expect(unplaced.textContent()).resolves.toMatch(/space\.taken/);
      expect(await berthOf(small)).toBe('promised S1');

      await page.getByRole('button', { name: "Make it today's plan" }).click();
      await page.getByText('This plan was accepted').waitFor();
      expect(await berthOf(small)).toBe('promised S2');
      expect([await berthOf(long), await berthOf(other)].sort()).toEqual(['promised S1', 'requested']);
      await page.context().close();
    });
  }

  test('leaves a boat where it is when the desk says so, and another is not accepted once the marina has changed', async () => {
    const days = ['2030-11-02', '2030-11-05'] as const;
    const small = await enter('Knot', 8.5, days);
    await hold(small, 'S1');
    const long = await enter('Whimbrel', 12.5, days);
    const page = await story.open('harbormaster');
    await ask(page, '2030-11-01');
    await page.getByLabel('Leave it where it is: Knot').check();
    await page.getByRole('button', { name: 'Make another plan' }).click();
    await page.getByRole('heading', { name: 'Who moves: 0' }).waitFor();
    await page.goBack();
    await story.server.call('harbormaster', 'POST', `/stays/${long}/cancel`, { headers: { 'if-match': '*' } });
    await page.getByRole('button', { name: "Make it today's plan" }).click();
    await expect(page.getByRole('alert').textContent()).resolves.toMatch(/changed: Whimbrel \(stay .* no more/);
    expect(await berthOf(small)).toBe('promised S1');
    await page.context().close();
  });

  test('names the promises that exclude each other', async () => {
    const days = ['2030-12-02', '2030-12-05'] as const;
    for (const [name, berthId] of [
      ['Dunlin', 'S1'],
      ['Sanderling', 'S2'],
    ] as const) {
      await hold(await enter(name, 8.5, days), berthId);
    }
    const closing = { unitId: 'S1', reason: 'piles', from: '2030-12-01T00:00:00Z', until: '2030-12-20T00:00:00Z' };
    const closed = await story.server.call('harbormaster', 'POST', '/out-of-service', { body: closing });
    expect(closed.status, JSON.stringify(closed.body)).toBeLessThan(300);
    const page = await story.open('manager');
    await ask(page, '2030-12-01');
    await page.getByRole('heading', { name: 'What cannot be kept together' }).waitFor();
    await page.context().close();
  });
});
