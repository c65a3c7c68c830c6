import { describe, expect, test } from 'vitest';
import { rowOfSlips } from '../support/row-of-slips.ts';
import { noBrowser } from './browser.ts';
import { Typist, tellStory } from './story.ts';

/*
 * Keys as time: an average typist needs 0.2 s a key and a practised one 0.12 s; 1.35 s to think before each step of a task
 * (Card, Moran and Newell, "The keystroke-level model for user performance time with interactive systems", 1980).
 * The caller says seven facts meanwhile; what is counted here is what the desk adds.
 */
const keyS = 0.2;
const thinkS = 1.35;

describe.skipIf(noBrowser !== null)('the harbormaster', () => {
  const story = tellStory(rowOfSlips({ slips: 6, configurationId: 'SS2-50' }));

  for (const { size, scripts } of [
    { size: 'desk', scripts: true },
    { size: 'desk', scripts: false },
    { size: 'phone', scripts: false },
  ] as const) {
    const how = `${size}, scripts ${scripts ? 'on' : 'off'}`;

    test(`a phone call becomes a held berth by keyboard alone (${how})`, async () => {
      const page = await story.open('harbormaster', { size, scripts });
      await page.goto('/marinas/north/call');
      await page.locator('#f-name:focus').waitFor();
      const typist = new Typist(page);
      const boat = `Petrel ${size} ${scripts}`;
      await typist.type('J. Lindqvist');
      await typist.to('Phone');
      await typist.type('555 0142');
      await typist.to('Name of the boat');
      await typist.type(boat);
      await typist.to('Nights');
      await typist.type('2');
      await typist.to('Length over all');
      await typist.type('36 ft 6');
      await typist.to('Beam');
      await typist.type('12');
      await typist.to('Draft');
      await typist.type('5 ft');
      await typist.to('Plug, as said');
      await typist.type('50 A');
      await typist.send('Enter');
      await expect(page.getByRole('heading', { level: 1 }).textContent()).resolves.toContain(boat);
      // The button of the best berth has the focus: the next Enter holds it.
      await typist.send('Enter');
      await expect(page.getByRole('heading', { name: /^The berth it has/ }).textContent()).resolves.toMatch(/S\d|F/);
      expect(typist.pages).toBe(2);
      expect(typist.keys * keyS + 10 * thinkS).toBeLessThan(60);

      const { body } = await story.server.call('harbormaster', 'GET', '/stays?limit=200');
      const stored = body.items.find((stay: { boatName: string }) => stay.boatName === boat);
      expect(stored).toMatchObject({ state: 'promised', name: 'J. Lindqvist', phone: '555 0142' });
      const { body: boatBody } = await story.server.call('viewer', 'GET', `/boats/${stored.boatId}`);
      expect(boatBody.lengthOverallM).toMatchObject({ value: 11.125, origin: 'phone' });
      await page.context().close();
    });
  }

  test('a call that is turned away takes a length, a reason and Enter', async () => {
    const page = await story.open('harbormaster', { scripts: false });
    await page.goto('/marinas/north/turned-away');
    const typist = new Typist(page);
    await typist.type('88');
    await typist.to('full');
    await typist.press('ArrowRight');
    await typist.send('Enter');
    await expect(page.getByRole('status').textContent()).resolves.toBe('Recorded.');
    expect(typist.keys * keyS + 2 * thinkS).toBeLessThan(10);
    const { body } = await story.server.call('viewer', 'GET', '/stays?state=turnedAway');
    expect(body.items).toMatchObject([{ turnedAwayReasons: [{ rule: 'fit.length', note: null }] }]);
    await page.context().close();
  });

  test('the one question is answered, a berth refused by its room is overridden with a reason, moved and given up', async () => {
    const page = await story.open('harbormaster', { scripts: false });
    await page.goto('/marinas/north/call');
    await page.getByLabel('Who calls').fill('P. Osei');
    await page.getByLabel('Name of the boat').fill('Long One');
    await page.getByLabel('Arrives').fill('2030-07-01');
    await page.getByLabel('Length over all').fill('16 m');
    await page.getByLabel('Beam').fill('4 m');
    await page.getByLabel('Draft').fill('1.5 m');
    await page.getByLabel('Plug, as said').fill('50 A');
    await page.getByRole('button', { name: 'Find a berth' }).click();

    const question = page.getByRole('region', { name: /^Ask this/ });
    const before = await question.textContent();
    expect(before).toContain('125/250');
    await question.getByLabel('50 A 125/250 V (SS2-50)').check();
    await question.getByRole('button', { name: 'Answer' }).click();
    const { body } = await story.server.call('viewer', 'GET', '/boats?limit=200');
    const boat = body.items.find(({ name }: { name: string }) => name === 'Long One');
    expect(boat.inlets[0].configurationIds).toMatchObject({ value: ['SS2-50'], origin: 'phone' });

    await page.getByText('Hold a refused berth').click();
    const form = page.getByRole('form', { name: 'Hold a refused berth' });
    await form.getByLabel('Berth').selectOption({ label: 'S1: fit.length' });
    await form.getByLabel('Reason').fill('Measured by hand: the end of the fairway is free');
    await form.getByRole('button', { name: 'Override and hold' }).click();
    await expect(page.getByText('Overridden by').textContent()).resolves.toContain('Measured by hand');

    await page.getByRole('link', { name: 'Other berths' }).click();
    await page.getByRole('button', { name: 'Move to F' }).click();
    await expect(page.getByRole('heading', { name: /^The berth it has/ }).textContent()).resolves.toContain('F');
    await page.getByRole('button', { name: 'Give up the berth' }).click();
    await expect(page.getByRole('heading', { name: 'Berths that could take it' }).count()).resolves.toBe(1);
    const { body: assignments } = await story.server.call('viewer', 'GET', '/assignments?from=2030-07-01T00:00:00Z');
    expect(assignments.items).toEqual([]);
    await page.context().close();
  });

  test('an offer is taken, two boats change places, a stay is lengthened, arrives and leaves', async () => {
    const enter = async (boatName: string, berthId: string | null) => {
      const call = {
        name: boatName,
        boatName,
        lengthOverallM: 9,
        beamM: 3,
        draftM: 1,
        hull: 'monohull',
        plug: 'no power',
      };
      const dates = { arrival: '2030-06-09', departure: '2030-06-12' };
      const { body } = await story.server.call('harbormaster', 'POST', '/stays', { body: { ...call, ...dates } });
      const path = `/stays/${body.stay.id}`;
      if (berthId !== null) await story.server.call('harbormaster', 'POST', `${path}/assign`, { body: { berthId } });
      return path;
    };
    const state = async (path: string) => (await story.server.call('viewer', 'GET', path)).body;
    const other = await enter('Second Wind', 'S6');
    const mine = await enter('First Light', null);
    const page = await story.open('harbormaster', { scripts: false });
    await page.goto(`/marinas/north${mine}`);
    await page.getByRole('listitem').filter({ hasText: 'Hold S5' }).getByRole('button', { name: 'Offer only' }).click();
    expect((await state(mine)).stay.state).toBe('offered');
    await page.getByRole('button', { name: 'promise the berth' }).click();
    expect((await state(mine)).stay.state).toBe('promised');
    await page.getByText('Change places with another boat').first().click();
    await page.getByRole('form', { name: 'Change places' }).getByLabel('Boat').selectOption({ label: 'Second Wind' });
    await page.getByRole('button', { name: 'Change places' }).click();
    expect([(await state(mine)).assignments.at(-1).berthId, (await state(other)).assignments.at(-1).berthId]).toEqual([
      'S6',
      'S5',
    ]);
    await page.getByText('Come or leave on other days').click();
    await page.getByLabel('Leaves').fill('2030-06-13');
    await page.getByRole('button', { name: 'Change the days' }).click();
    expect((await state(mine)).stay).toMatchObject({
      arrival: '2030-06-09T19:00:00.000Z',
      departure: '2030-06-13T15:00:00.000Z',
    });
    await page.getByRole('button', { name: 'It has arrived' }).click();
    expect((await state(mine)).stay.state).toBe('arrived');
    await page.getByRole('button', { name: 'It has left' }).click();
    expect((await state(mine)).stay.state).toBe('departed');
    await page.context().close();
  });

  test('the docks at another moment come without a new page where scripts run, and as a page where they do not', async () => {
    for (const scripts of [true, false]) {
      const page = await story.open('harbormaster', { scripts });
      await page.goto('/marinas/north/docks/dock');
      let documents = 0;
      page.on('request', (request) => {
        if (request.resourceType() === 'document') documents += 1;
      });
      await page.locator('#f-at').fill('2030-07-04T22:00');
      await page.getByRole('button', { name: 'Show' }).click();
      await page.getByText('Thu, Jul 4, 10:00 PM').waitFor();
      expect(page.url()).toContain('at=2030-07-04T22%3A00');
      expect(await page.getByRole('heading', { level: 1 }).count()).toBe(1);
      expect(documents).toBe(scripts ? 0 : 1);
      await page.context().close();
    }
  });

  test('what was changed meanwhile is not overwritten: the page says so and shows what is there now', async () => {
    const call = {
      name: 'A',
      lengthOverallM: 9,
      beamM: 3,
      draftM: 1,
      arrival: '2030-08-01',
      departure: '2030-08-02',
      plug: 'no power',
    };
    const { body } = await story.server.call('harbormaster', 'POST', '/stays', { body: call });
    const page = await story.open('harbormaster', { scripts: false });
    await page.goto(`/marinas/north/stays/${body.stay.id}`);
    const headers = { 'if-match': '"1"' };
    await story.server.call('harbormaster', 'PATCH', `/stays/${body.stay.id}`, {
      body: { note: 'After dark' },
      headers,
    });
    await page
      .getByRole('button', { name: /^Hold / })
      .first()
      .click();
    await expect(page.getByRole('alert').textContent()).resolves.toContain('version');
    await expect(page.getByText('After dark').count()).resolves.toBe(1);
    await page.context().close();
  });

  test('a berth that is given up is offered to who waits for it, there and on the waiting list', async () => {
    const enter = async (boatName: string) => {
      const call = { name: 'N. Tern', boatName, lengthOverallM: 9, beamM: 3, draftM: 1, hull: 'monohull' };
      const dates = { arrival: '2031-02-01', departure: '2031-02-03', plug: 'no power' };
      const { body } = await story.server.call('harbormaster', 'POST', '/stays', { body: { ...call, ...dates } });
      return `/stays/${body.stay.id}`;
    };
    const stateOf = async (path: string) => (await story.server.call('viewer', 'GET', path)).body.stay.state;
    const [given, waits, next] = [await enter('Ebb'), await enter('Flood'), await enter('Slack')];
    await story.server.call('harbormaster', 'POST', `${given}/assign`, { body: { berthId: 'S2' } });
    const page = await story.open('harbormaster', { scripts: false });
    await page.goto(`/marinas/north${given}`);
    await page.getByRole('button', { name: 'Give up the berth' }).click();
    const fits = page.getByRole('status').getByRole('row', { name: /^Flood/ });
    await fits.getByRole('button', { name: 'Offer S2' }).click();
    expect(await stateOf(waits)).toBe('offered');

    await page.goto('/marinas/north/day');
    await page.getByRole('link', { name: 'Waiting for a berth' }).click();
    await expect(page.getByRole('row', { name: /^Flood/ }).count()).resolves.toBe(0);
    await page
      .getByRole('row', { name: /^Slack/ })
      .getByRole('button', { name: /^Offer/ })
      .first()
      .click();
    expect(await stateOf(next)).toBe('offered');
    await page.context().close();
  });

  test('a form sent twice counts once', async () => {
    const page = await story.open('harbormaster', { scripts: false });
    await page.goto('/marinas/north/call');
    const form = {
      key: await page.locator('input[name=key]').inputValue(),
      name: 'Twice',
      arrival: '2030-06-20',
      lengthOverallM: '30',
      do: 'call',
    };
    const send = () =>
      page.request.post('/marinas/north/call', { form, headers: { origin: story.baseURL }, maxRedirects: 0 });
    const [first, second] = [await send(), await send()];
    expect(first.status()).toBe(303);
    expect(second.headers().location).toBe(first.headers().location);
    const { body } = await story.server.call('viewer', 'GET', '/stays?limit=200');
    expect(body.items.filter(({ name }: { name: string }) => name === 'Twice')).toHaveLength(1);
    await page.context().close();
  });
});
