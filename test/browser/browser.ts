import { existsSync } from 'node:fs';
import type { AddressInfo } from 'node:net';
import type { FastifyInstance } from 'fastify';
import { type Browser, chromium, type Page } from 'playwright-core';

export const chromiumPath = process.env.CHROMIUM_PATH ?? '/usr/bin/chromium';
/** Why stories in a browser cannot run here; null: they can. */
export const noBrowser = existsSync(chromiumPath)
  ? null
  : `no browser at ${chromiumPath}: install Debian's chromium, or name one in CHROMIUM_PATH`;

export const sizes = {
  desk: { width: 1366, height: 900 },
  phone: { width: 390, height: 844 },
} as const;
export type Size = keyof typeof sizes;

/**
 * A name that browsers of these tests find here, and trust no more than any machine of a marina's own network: over plain
 * HTTP it is no secure context, as this machine's own names and addresses are.
 */
const lanHost = 'quay.test';

/** The same service, as a phone on the marina's network sees it. */
export function overTheLan(baseURL: string): string {
  return baseURL.replace('127.0.0.1', lanHost);
}

export function launchBrowser(): Promise<Browser> {
  const rules = `--host-resolver-rules=MAP ${lanHost} 127.0.0.1`;
  return chromium.launch({ executablePath: chromiumPath, args: ['--no-sandbox', rules] });
}

/** Starts listening on a free port of this machine; returns the address. */
export async function listen(app: FastifyInstance): Promise<string> {
  await app.listen({ host: '127.0.0.1', port: 0 });
  const { port } = app.server.address() as AddressInfo;
  return `http://127.0.0.1:${port}`;
}

interface OpenPage {
  readonly baseURL: string;
  readonly size?: Size;
  readonly scripts?: boolean;
  readonly dark?: boolean;
}

/** A page of a browser of its own: no cookies of others. */
export async function openPage(
  browser: Browser,
  { baseURL, size = 'desk', scripts = true, dark = false }: OpenPage,
): Promise<Page> {
  const context = await browser.newContext({
    baseURL,
    viewport: sizes[size],
    hasTouch: size === 'phone',
    javaScriptEnabled: scripts,
    colorScheme: dark ? 'dark' : 'light',
    locale: 'en-US',
  });
  context.setDefaultTimeout(60_000);
  return context.newPage();
}

/** Signs in by a token, as a person would. */
export async function signIn(page: Page, token: string): Promise<void> {
  await page.goto('/sign-in');
  await page.getByText('Sign in with a token').first().click();
  await page.getByLabel('Token').fill(token);
  await page.getByRole('button', { name: 'Sign in with the token' }).click();
  await page.waitForURL(/\/marinas\//);
}
