import { readFileSync } from 'node:fs';
import { createRequire } from 'node:module';
import { type Browser, type BrowserContextOptions, chromium, type Page } from 'playwright-core';

const axe = readFileSync(createRequire(import.meta.url).resolve('axe-core/axe.min.js'), 'utf8');

// Nothing that would loosen the rules of the web: a fault that only shows from a file has to show here.
const ARGUMENTS = [
  '--no-sandbox',
  '--disable-gpu',
  '--disable-quic',
  '--no-first-run',
  '--disable-background-networking',
  '--disable-component-update',
  '--disable-sync',
];

/** Starts the browser, or says what the machine lacks. */
export async function startBrowser(executablePath: string): Promise<Browser> {
  try {
    return await chromium.launch({ executablePath, args: ARGUMENTS });
  } catch (error) {
    throw new Error(
      `The browser of the tests did not start. On Linux it needs the libraries libnss3 and libnspr4 (Debian: \`apt-get install libnss3 libnspr4\`). What it said:\n${error}`,
    );
  }
}

/** How a page is looked at. */
export type Mode = 'light' | 'dark' | 'phone' | 'print';

const CONTEXTS: Record<Mode, BrowserContextOptions> = {
  light: { viewport: { width: 1200, height: 900 }, colorScheme: 'light' },
  dark: { viewport: { width: 1200, height: 900 }, colorScheme: 'dark' },
  phone: { viewport: { width: 390, height: 844 }, colorScheme: 'light', hasTouch: true },
  print: { viewport: { width: 720, height: 1000 }, colorScheme: 'light' },
};

/** What looking at a page brought to light. */
export interface Looked {
  readonly page: Page;
  readonly errors: string[];
  readonly requests: string[];
}

/** Opens an address in a mode and notes every console error and request on the way. Closed by `close`. */
export async function look(
  browser: Browser,
  mode: Mode,
  address: string,
): Promise<Looked & { close(): Promise<void> }> {
  const context = await browser.newContext(CONTEXTS[mode]);
  const page = await context.newPage();
  const errors: string[] = [];
  const requests: string[] = [];
  page.on('console', (message) => message.type() === 'error' && errors.push(message.text()));
  page.on('pageerror', (error) => errors.push(String(error)));
  page.on('request', (request) => requests.push(request.url()));
  await page.goto(address, { waitUntil: 'load' });
  if (mode === 'print') await page.emulateMedia({ media: 'print' });
  return { page, errors, requests, close: () => context.close() };
}

/** What axe finds on an open page, one line a finding. */
export async function accessibilityFaults(page: Page): Promise<string[]> {
  await page.evaluate(axe);
  return page.evaluate(async () => {
    const { violations } = await (
      globalThis as unknown as {
        axe: {
          run(options: object): Promise<{
            violations: { id: string; help: string; nodes: { target: string[]; failureSummary: string }[] }[];
          }>;
        };
      }
    ).axe.run({ preload: false });
    return violations.map(
      (v) =>
        `${v.id}: ${v.help} (${v.nodes.length}×, first ${v.nodes[0]?.target.join(' ')}: ${v.nodes[0]?.failureSummary})`,
    );
  });
}

/** Pixels by which a page is wider than its window. */
export const overflow = (page: Page): Promise<number> =>
  page.evaluate(() => document.documentElement.scrollWidth - document.documentElement.clientWidth);
