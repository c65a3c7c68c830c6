import type { Browser, Page } from 'playwright-core';
import { afterAll, beforeAll } from 'vitest';
import type { Inventory } from '../../core/inventory/inventory.ts';
import type { Role } from '../../server/http/access.ts';
import { startTestServer, type TestServer } from '../support/server.ts';
import { launchBrowser, listen, noBrowser, openPage, type Size, signIn } from './browser.ts';

if (noBrowser !== null) console.log(`Stories in a browser skipped: ${noBrowser}.`);

/** A service that listens, with the marina `north`, and a browser to look at it with. */
export interface Story {
  readonly server: TestServer;
  readonly baseURL: string;
  readonly browser: Browser;
  /** A page of a browser of its own, signed in as somebody of the role. */
  open(
    role: Role,
    options?: { readonly size?: Size; readonly scripts?: boolean; readonly dark?: boolean },
  ): Promise<Page>;
}

/** Starts service and browser before the tests of a file and ends both after them. */
export function tellStory(inventory: Inventory): Story {
  const told: { server?: TestServer; browser?: Browser; baseURL?: string } = {};
  beforeAll(async () => {
    told.server = await startTestServer();
    told.baseURL = await listen(told.server.app);
    const headers = { 'if-match': '*' };
    const stored = await told.server.call('manager', 'PUT', '/inventory', { body: inventory, headers });
    if (stored.status !== 200) throw new Error(JSON.stringify(stored.body));
    told.browser = await launchBrowser();
  });
  afterAll(async () => {
    await told.browser?.close();
    await told.server?.close();
  });
  const known = <T>(value: T | undefined): T => {
    if (value === undefined) throw new Error('The story has not begun: use it within a test.');
    return value;
  };
  return {
    get server() {
      return known(told.server);
    },
    get baseURL() {
      return known(told.baseURL);
    },
    get browser() {
      return known(told.browser);
    },
    open: async (role, options = {}) => {
      const page = await openPage(known(told.browser), { baseURL: known(told.baseURL), ...options });
      await signIn(page, known(told.server).tokens[role]);
      return page;
    },
  };
}

/** A person at a keyboard: every key that is pressed counts, and so does every page that comes. */
export class Typist {
  keys = 0;
  pages = 0;
  readonly #page: Page;

  constructor(page: Page) {
    this.#page = page;
    page.on('framenavigated', () => {
      this.pages += 1;
    });
  }

  async type(text: string): Promise<void> {
    this.keys += text.length;
    await this.#page.keyboard.type(text);
  }

  async press(key: string, times = 1): Promise<void> {
    for (let n = 0; n < times; n++) {
      this.keys += 1;
      await this.#page.keyboard.press(key);
    }
  }

  /** Presses a key that sends a form, and waits for what comes. */
  async send(key: string): Promise<void> {
    const came = this.#page.waitForNavigation();
    await this.press(key);
    await came;
  }

  /** Goes on by Tab until the field of a label has the focus. */
  async to(label: string): Promise<void> {
    const focused = this.#page.getByLabel(label, { exact: true }).and(this.#page.locator(':focus'));
    for (let n = 0; n < 40; n++) {
      if ((await focused.count()) === 1) return;
      await this.press('Tab');
    }
    throw new Error(`Tab never reached "${label}".`);
  }
}
