import { pathToFileURL } from 'node:url';
import type { Browser, Page } from 'playwright-core';
import { browserPath } from './browserPath.ts';
import { joinParts, takePart } from './wholeDocument.ts';

const OPTIONS = { preferCSSPageSize: true, printBackground: true, tagged: true, outline: true } as const;

/**
 * A page as PDF: tagged, with an outline, fonts inside, dates left out, so that the same page gives the same bytes.
 *
 * @param file of the page
 * @param browser path of a Chromium; null finds one
 */
export const printed = (file: string, browser: string | null): Promise<Uint8Array> =>
  withBrowser(browser, async (running) => {
    const page = await opened(running, pathToFileURL(file).href);
    return undated(await page.pdf(OPTIONS));
  });

/**
 * A milestone with everything that it stands on as one PDF: contents with page numbers, then each part on a page of its own.
 * The parts are those that the page of the milestone names.
 *
 * @param file of the milestone's page
 * @returns null where the page names no parts
 */
export const printedWhole = (file: string, browser: string | null): Promise<Uint8Array | null> =>
  withBrowser(browser, async (running) => {
    const home = pathToFileURL(file).href;
    const page = await opened(running, home);
    const addresses = await page.evaluate(() =>
      (document.querySelector('[data-parts]')?.getAttribute('data-parts') ?? '')
        .split(' ')
        .filter(Boolean)
        .map((path) => new URL(path, location.href).href),
    );
    if (addresses.length === 0) return null;
    const parts = [];
    for (const [i, address] of addresses.entries()) {
      const own = await opened(running, address);
      await own.evaluate(() => document.querySelector('.colophon')?.remove());
      const pages = pagesOf(await own.pdf(OPTIONS));
      parts.push({ ...(await own.evaluate(takePart, { i, addresses })), pages });
      await own.close();
    }
    // The contents are a page themselves, and every part begins on a new one.
    let at = 2;
    const numbered = parts.map((part) => {
      const from = at;
      at += part.pages;
      return { ...part, from };
    });
    await page.evaluate(joinParts, numbered);
    await page.evaluate(() => document.fonts.ready);
    return undated(await page.pdf(OPTIONS));
  });

async function withBrowser<T>(path: string | null, use: (running: Browser) => Promise<T>): Promise<T> {
  const { chromium } = await import('playwright-core');
  const running = await chromium.launch({
    executablePath: path ?? (await browserPath()),
    args: ['--no-sandbox', '--disable-gpu', '--no-first-run', '--disable-background-networking', '--disable-sync'],
  });
  try {
    return await use(running);
  } finally {
    await running.close();
  }
}

/** A page with its parts open, which nobody can open on paper, and its fonts there. */
async function opened(running: Browser, address: string): Promise<Page> {
  const page = await running.newPage({ colorScheme: 'light' });
  await page.goto(address, { waitUntil: 'load' });
  await page.evaluate(() => {
    for (const part of document.querySelectorAll('details')) part.open = true;
  });
  await page.evaluate(() => document.fonts.ready);
  return page;
}

/** Pages of a PDF as Chromium writes it: its objects stand open in the file. */
const pagesOf = (pdf: Uint8Array): number =>
  [
    ...Buffer.from(pdf)
      .toString('latin1')
      .matchAll(/\/Type\s*\/Page\b(?!s)/g),
  ].length;

/** The dates of a PDF overwritten by zeros of the same length. */
function undated(pdf: Uint8Array): Uint8Array {
  const text = Buffer.from(pdf).toString('latin1');
  return Buffer.from(
    text.replace(/\/(CreationDate|ModDate) \(D:[^)]*\)/g, (all) => all.replace(/\d/g, '0')),
    'latin1',
  );
}
