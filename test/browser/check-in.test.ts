import type { Browser, Page } from 'playwright-core';
import { afterAll, beforeAll, beforeEach, describe, expect, it } from 'vitest';
import { type Booked, book, soundReadings } from '../server/check-ins/fixture.ts';
import { hours, startMarina } from '../server/occupancy/fixture.ts';
import type { TestServer } from '../support/server.ts';
import { launchBrowser, listen, noBrowser, openPage, overTheLan, signIn } from './browser.ts';

if (noBrowser !== null) console.warn(`Check-in in a browser is skipped: ${noBrowser}`);

describe.skipIf(noBrowser !== null)('a dockhand with a phone', () => {
  let server: TestServer;
  let browser: Browser;
  let baseURL: string;
  const at = (hour: number) => {
    server.clock.now = Date.parse(hours(hour));
  };
  beforeAll(async () => {
    server = await startMarina();
    browser = await launchBrowser();
    baseURL = await listen(server.app);
  });
  afterAll(async () => {
    await browser.close();
    await server.close();
  });

  let day = -1;
  beforeEach(async () => {
    day += 1;
    at(24 * day);
    // Whoever came the day before has left.
    const here = await server.db.prisma.stay.findMany({ where: { marinaId: 'north', state: 'arrived' } });
    for (const { id: stayId } of here) {
      const body = { kind: 'departure', at: hours(24 * day), stayId };
      await server.call('dockhand', 'PUT', `/dock-events/${day}.${stayId}`, { body });
    }
  });
  const booked = (name: string, berthId: string, given: object = {}): Promise<Booked> =>
    book(server, { name, berthId, from: 24 * day + 1, until: 24 * day + 20, ...given });

  /** The phone at the check-in page, the shift loaded. */
  async function atTheDock(address = baseURL): Promise<Page> {
    const page = await openPage(browser, { baseURL: address, size: 'phone' });
    await signIn(page, server.tokens.dockhand);
    await page.goto('/marinas/north/check-in');
    await page.getByRole('button', { name: 'Load the shift' }).click();
    await page.getByText(/^Shift of/).waitFor();
    return page;
  }

  async function open(page: Page, name: string): Promise<void> {
    await page.getByRole('link', { name: new RegExp(`^${name}`) }).click();
    await page.getByRole('heading', { name, level: 2 }).waitFor();
  }

  async function read(page: Page, outletId: string, besides: Record<string, number> = {}): Promise<void> {
    for (const { name, contact, value } of soundReadings(outletId)) {
      const id = `#r-${`${outletId} ${name} ${contact ?? ''}`.replaceAll(/\W/g, '-')}`;
      await page.locator(id).fill(String(besides[name] ?? value));
    }
  }

  async function store(page: Page, isOn: boolean): Promise<string> {
    await page.getByLabel(isOn ? 'Yes, it is on' : 'No, it stays off').check();
    const button = page.getByRole('button', { name: /^Store the check-in/ });
    const words = (await button.textContent()) ?? '';
    await button.click();
    await page.getByRole('heading', { name: /^To come/ }).waitFor();
    return words;
  }

  const eventsOf = async ({ stayId }: Booked) =>
    (await server.call('viewer', 'GET', `/dock-events?stayId=${stayId}`)).body.items;
  const waitForSent = (page: Page) => page.getByText('Everything is sent.').waitFor();

  it('checks a boat in with another plug and cord than announced: judged again at once, stored as found', async () => {
    const osprey = await booked('Osprey', 'A3');
    at(24 * day + 1.1);
    const page = await atTheDock();
    await open(page, 'Osprey');
    await read(page, 'a2a');
    await page.getByText('Breaker on: you may energise.').waitFor();
    // The plug is a 50 A one: on the 30 A outlet nothing joins them.
    await page.getByLabel('Inlet I1: plug of the boat').selectOption('SS2-50');
    await page.getByText('Do not energise.').waitFor();
    await page
      .getByText(/no adapter at hand joins them/)
      .first()
      .waitFor();
    expect(await store(page, false)).toContain('refused');
    await waitForSent(page);
    const [event] = await eventsOf(osprey);
    expect(event).toMatchObject({ outcome: 'refused', sent: { phoneOutcome: 'refused', energised: false } });
    expect(event.contradictions.map(({ about }: { about: string }) => about)).toContain('boat: inlet I1, plug');
    const { body } = await server.call('viewer', 'GET', `/boats/${osprey.boatId}`);
    expect(body.inlets[0].configurationIds).toMatchObject({ value: ['SS2-50'], origin: 'dockhand' });
    expect(body.cordSets).toMatchObject({ origin: 'dockhand' });
    await page.context().close();
  });

  it('sees a refusal when the clamp shows too much, and is told to shut down', async () => {
    const osprey = await booked('Osprey', 'A3');
    at(24 * day + 1.1);
    const page = await atTheDock();
    await open(page, 'Osprey');
    await read(page, 'a2a', { leakageMa: 44 });
    await page
      .getByText(/leaks 44 mA, above 30 mA/)
      .first()
      .waitFor();
    expect(await store(page, false)).toContain('refused');
    await waitForSent(page);
    expect((await eventsOf(osprey))[0]).toMatchObject({ outcome: 'refused', contradictions: [] });
    await page.context().close();
  });

  it('works a shift without a network: entries outlive a reload, and each is stored once', async () => {
    const boats = [await booked('Osprey', 'A3'), await booked('Merlin', 'B2'), await booked('Petrel', 'B3')];
    at(24 * day + 1.1);
    const page = await atTheDock();
    await page.getByText('This page also opens again without a network.').waitFor();
    await page.context().setOffline(true);
    for (const [name, outletId] of [
      ['Osprey', 'a2a'],
      ['Merlin', 'b1a'],
    ] as const) {
      await open(page, name);
      await read(page, outletId);
      await store(page, true);
    }
    await page.getByText('2 entries wait on this phone.').waitFor();
    // Half of a check-in, then the page is opened again from what the phone keeps.
    await open(page, 'Petrel');
    await page
      .getByLabel(/^Line to neutral/)
      .first()
      .fill('121');
    await page.reload();
    await page.getByText('2 entries wait on this phone.').waitFor();
    await page.getByRole('heading', { name: 'Petrel', level: 2 }).waitFor();
    expect(
      await page
        .getByLabel(/^Line to neutral/)
        .first()
        .inputValue(),
    ).toBe('121');
    await read(page, 'b2a');
    await store(page, true);
    await page.getByText('3 entries wait on this phone.').waitFor();
    for (const boat of boats) expect(await eventsOf(boat)).toEqual([]);
    await page.context().setOffline(false);
    await waitForSent(page);
    await page.reload();
    await page.getByRole('button', { name: 'Load the shift' }).click();
    await page.getByRole('heading', { name: /^Here \(3\)/ }).waitFor();
    for (const boat of boats) expect(await eventsOf(boat)).toHaveLength(1);
    await page.context().close();
  });

  it("works a shift without a network on the marina's own plain HTTP, where the page has to stay open", async () => {
    const boats = [await booked('Osprey', 'A3'), await booked('Merlin', 'B2')];
    at(24 * day + 1.1);
    const page = await atTheDock(overTheLan(baseURL));
    // W3C Secure Contexts: of plain HTTP only this machine's own names and addresses are trustworthy.
    expect(await page.evaluate('[isSecureContext, "serviceWorker" in navigator, typeof crypto.randomUUID]')).toEqual([
      false,
      false,
      'undefined',
    ]);
    await page.getByText(/^Keep this page open/).waitFor();
    await page.context().setOffline(true);
    for (const [name, outletId] of [
      ['Osprey', 'a2a'],
      ['Merlin', 'b1a'],
    ] as const) {
      await open(page, name);
      await read(page, outletId);
      await store(page, true);
    }
    await page.getByText('2 entries wait on this phone.').waitFor();
    for (const boat of boats) expect(await eventsOf(boat)).toEqual([]);
    await page.context().setOffline(false);
    await waitForSent(page);
    await page.reload();
    await waitForSent(page);
    for (const boat of boats) expect(await eventsOf(boat)).toHaveLength(1);
    await page.context().close();
  });

  it('stores an entry once though the answer to it was lost', async () => {
    const osprey = await booked('Osprey', 'A3');
    at(24 * day + 1.1);
    const page = await atTheDock();
    let lost = 0;
    await page.route('**/check-in', async (route) => {
      if (route.request().postData()?.includes('do=send') && lost === 0) {
        lost += 1;
        // The service takes it; the phone never hears of it.
        await route.fetch();
        await route.abort();
      } else await route.continue();
    });
    await open(page, 'Osprey');
    await read(page, 'a2a');
    await store(page, true);
    await page.getByRole('button', { name: 'Send now' }).click();
    await waitForSent(page);
    expect(lost).toBe(1);
    expect(await eventsOf(osprey)).toHaveLength(1);
    await page.context().close();
  });

  it('is told to call once the shift has expired', async () => {
    await booked('Osprey', 'A3', { until: 24 * day + 23 });
    at(24 * day + 1.1);
    const page = await atTheDock();
    await page.clock.install();
    await page.clock.setFixedTime(Date.now() + 12 * 3_600_000);
    await page.reload();
    await page.getByText(/The shift has expired/).waitFor();
    await open(page, 'Osprey');
    await page.getByText('Do not energise, call.').first().waitFor();
    await page.context().close();
  });

  it('reports an outlet burnt, a trip, and takes a departure with the lent adapter', async () => {
    const osprey = await booked('Osprey', 'A3');
    at(24 * day + 1.1);
    const page = await atTheDock();
    await open(page, 'Osprey');
    await page.getByLabel(/A2-A L5-30/).uncheck();
    await page.getByLabel(/A2-B SS2-50/).check();
    await page.getByText('Do not energise, call.').first().waitFor();
    await page.getByLabel(/^Step-down 50 to 30/).check();
    await read(page, 'a2b');
    await store(page, true);
    await waitForSent(page);
    await page.getByRole('link', { name: 'Breaker tripped' }).click();
    await page.getByLabel('Choose the outlet').selectOption({ label: 'A2-B' });
    await page.getByLabel('Boat', { exact: true }).selectOption({ label: 'Osprey' });
    await page.getByRole('button', { name: 'Store' }).click();
    await page.getByRole('link', { name: 'Outlet burnt' }).click();
    await page.getByLabel('Choose the outlet').selectOption({ label: 'A2-A' });
    await page.getByLabel('Note').fill('scorched');
    await page.getByRole('button', { name: 'Store' }).click();
    await waitForSent(page);
    await page.getByRole('button', { name: 'Load the shift' }).click();
    await page.getByRole('heading', { name: /^Here \(\d\)/ }).waitFor();
    await page.getByRole('link', { name: 'Departure: Osprey' }).last().click();
    await page.getByLabel('Step-down 50 to 30').waitFor();
    await page.getByRole('button', { name: /The boat has left/ }).click();
    await waitForSent(page);
    const kinds = (await eventsOf(osprey)).map(({ kind }: { kind: string }) => kind);
    expect(kinds).toEqual(['departure', 'trip', 'checkIn']);
    const closed = (await server.call('viewer', 'GET', '/out-of-service')).body.items;
    expect(closed).toMatchObject([{ outletId: 'a2a', reason: 'scorched' }]);
    expect((await server.call('viewer', 'GET', '/adapter-loans')).body.items).toEqual([]);
    await page.context().close();
  });
});
