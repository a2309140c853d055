import { createReadStream } from 'node:fs';
import { createServer, type Server } from 'node:http';
import type { AddressInfo } from 'node:net';
import { join } from 'node:path';
import { pathToFileURL } from 'node:url';
import type { Browser } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, inject, test } from 'vitest';
import { accessibilityFaults, look, type Mode, overflow, startBrowser } from './browser.ts';
import { onePerRoute, pagesOf, routeOf } from './siteFolder.ts';

// Rules looked for: WCAG as axe-core checks it; the site's own (no request off the page, no script error).
const site = inject('site');
const pages = pagesOf(site);
const some = onePerRoute(site, pages);
const full = process.env['GAPBOOK_FULL'] === '1';
// Pages of a kind are made by the same code: of the many, every sixth is looked at in `npm test`, all in `npm run test:full`.
const looked = full ? pages : [...new Set([...some, ...pages.filter((_, i) => i % 6 === 0)])];
const address = (page: string): string => pathToFileURL(join(site, page)).href;

let browser: Browser;
beforeAll(async () => {
  browser = await startBrowser(inject('browser'));
});
afterAll(() => browser?.close());

test('every kind of page is there', () => {
  expect(new Set(pages.map(routeOf))).toEqual(
    new Set([
      'index.html',
      'method.html',
      'claims.html',
      'directives.html',
      'problems.html',
      'problems',
      'sessions',
      'laps',
      'corners',
      'weeks',
      'milestones',
      'briefs',
      'moved',
      'evidence.html',
      'progress.html',
      'test-day.html',
    ]),
  );
});

async function sound(page: string, mode: Mode, from = address(page)): Promise<void> {
  const seen = await look(browser, mode, from);
  try {
    expect(seen.errors).toEqual([]);
    const origin = new URL(from).origin;
    expect(
      seen.requests.filter(
        (r) => !(r.startsWith('data:') || (origin === 'null' ? r.startsWith('file:') : r.startsWith(origin))),
      ),
    ).toEqual([]);
    expect(await accessibilityFaults(seen.page)).toEqual([]);
    if (mode !== 'print') expect(await overflow(seen.page)).toBeLessThanOrEqual(0);
  } finally {
    await seen.close();
  }
}

describe('from a file, in light, a page is accessible, quiet and stays at home', () => {
  test.each(looked)('%s', (page) => sound(page, 'light'));
});

for (const mode of ['dark', 'phone', 'print'] as const)
  describe(`so it is in ${mode}`, () => {
    test.each(full ? pages : some)('%s', (page) => sound(page, mode));
  });

describe('fonts of the site', () => {
  test('are the ones in use', async () => {
    const seen = await look(browser, 'light', address('index.html'));
    const loaded = await seen.page.evaluate(async () => {
      await document.fonts.ready;
      return [...document.fonts].filter((f) => f.status === 'loaded').map((f) => f.family.replaceAll('"', ''));
    });
    await seen.close();
    expect(new Set(loaded)).toEqual(new Set(['Source Serif 4', 'Inter']));
  });
});

describe('below any path of a server', () => {
  const base = '/reports/this one/';
  const types: Record<string, string> = {
    html: 'text/html; charset=utf-8',
    css: 'text/css',
    js: 'text/javascript',
    woff2: 'font/woff2',
    csv: 'text/csv',
    json: 'application/json',
  };
  let server: Server;
  let origin = '';
  const missing: string[] = [];
  beforeAll(async () => {
    server = createServer((request, response) => {
      const path = decodeURIComponent(request.url ?? '/');
      const file = join(site, path.slice(base.length));
      const stream = createReadStream(file);
      stream.on('error', () => {
        missing.push(path);
        response.writeHead(404).end();
      });
      stream.once('open', () =>
        response.writeHead(200, { 'content-type': types[path.split('.').at(-1) ?? ''] ?? 'text/plain' }),
      );
      stream.pipe(response);
    });
    await new Promise<void>((done) => server.listen(0, '127.0.0.1', done));
    origin = `http://127.0.0.1:${(server.address() as AddressInfo).port}`;
  });
  afterAll(() => server?.close());

  test.each(some)('%s works and asks for nothing that is not there', async (page) => {
    await sound(page, 'light', encodeURI(`${origin}${base}${page}`));
    expect(missing).toEqual([]);
  });
});
