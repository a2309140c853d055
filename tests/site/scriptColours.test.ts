import { join } from 'node:path';
import { pathToFileURL } from 'node:url';
import type { Browser, Page } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, inject, test } from 'vitest';
import { accessibilityFaults, startBrowser } from './browser.ts';

const address = (page: string): string => pathToFileURL(join(inject('site'), page)).href;

/** Names of the style sheet that hold a colour; the two palettes have to agree in each, however they are chosen. */
const NAMES = ['page', 'ink', 'soft', 'rule', 'band', 'road', 'reference', 'loss', 'gain'];
const palette = (open: Page): Promise<string[]> =>
  open.evaluate(
    (names) => names.map((n) => getComputedStyle(document.documentElement).getPropertyValue(`--${n}`).trim()),
    NAMES,
  );

let browser: Browser;
beforeAll(async () => {
  browser = await startBrowser(inject('browser'));
});
afterAll(() => browser?.close());

/** Colours as the system alone chooses them. */
async function system(colorScheme: 'light' | 'dark'): Promise<string[]> {
  const context = await browser.newContext({ colorScheme, javaScriptEnabled: true });
  const open = await context.newPage();
  await open.goto(address('index.html'));
  const colours = await palette(open);
  await context.close();
  expect(colours.every((c) => /^#[0-9a-f]{6}$/i.test(c))).toBe(true);
  return colours;
}

const choose = (open: Page, name: string): Promise<void> => open.locator('.colours button', { hasText: name }).click();

describe('the choice of colours', () => {
  test.each(['light', 'dark'] as const)(
    'gives slate, paper and what the system has, on a system set to %s',
    async (scheme) => {
      const [light, dark] = [await system('light'), await system('dark')];
      expect(light).not.toEqual(dark);
      const context = await browser.newContext({ colorScheme: scheme });
      const open = await context.newPage();
      await open.goto(address('index.html'));
      await choose(open, 'Slate');
      expect(await palette(open)).toEqual(dark);
      expect(await open.evaluate(() => getComputedStyle(document.documentElement).colorScheme)).toBe('dark');
      if (scheme === 'light') expect(await accessibilityFaults(open)).toEqual([]);
      await choose(open, 'Paper');
      expect(await palette(open)).toEqual(light);
      await choose(open, 'Auto');
      expect(await palette(open)).toEqual(scheme === 'light' ? light : dark);
      expect(await open.locator('.colours [aria-pressed="true"]').allTextContents()).toEqual(['Auto']);
      await context.close();
    },
  );

  test('holds on the next page before anything of it is painted', async () => {
    const context = await browser.newContext({ colorScheme: 'light' });
    const open = await context.newPage();
    await open.goto(address('index.html'));
    await choose(open, 'Slate');
    // Notes what is chosen at the moment the body comes into being.
    await open.addInitScript(() => {
      new MutationObserver((_, own) => {
        if (!document.body) return;
        own.disconnect();
        (globalThis as unknown as { first: string }).first = document.documentElement.dataset['colours'] ?? 'none';
      }).observe(document, { childList: true, subtree: true });
    });
    await open.goto(address('method.html'));
    expect(await open.evaluate(() => (globalThis as unknown as { first: string }).first)).toBe('slate');
    expect(await open.locator('.colours [aria-pressed="true"]').allTextContents()).toEqual(['Slate']);
    await context.close();
  });

  test('works on the page alone where nothing may be stored', async () => {
    const context = await browser.newContext({ colorScheme: 'light' });
    const open = await context.newPage();
    const errors: string[] = [];
    open.on('pageerror', (error) => errors.push(String(error)));
    await open.addInitScript(() => {
      Object.defineProperty(globalThis, 'localStorage', {
        get: () => {
          throw new DOMException('denied', 'SecurityError');
        },
      });
    });
    await open.goto(address('index.html'));
    await choose(open, 'Slate');
    expect(await palette(open)).toEqual(await system('dark'));
    expect(errors).toEqual([]);
    await context.close();
  });

  test('does not reach paper: print is dark on white', async () => {
    const context = await browser.newContext({ colorScheme: 'light' });
    const open = await context.newPage();
    await open.goto(address('index.html'));
    await open.emulateMedia({ media: 'print' });
    const printed = await palette(open);
    await open.emulateMedia({ media: 'screen' });
    await choose(open, 'Slate');
    await open.emulateMedia({ media: 'print' });
    expect(await palette(open)).toEqual(printed);
    await context.close();
  });
});
