import { spawnSync } from 'node:child_process';
import { cpSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { fileURLToPath, pathToFileURL } from 'node:url';
import type { Browser } from 'playwright-core';
import { afterAll, beforeAll, expect, inject, test } from 'vitest';
import { smallDemo } from '../cli/smallDemo.ts';
import { look, startBrowser } from './browser.ts';
import { filesBelow } from './siteFolder.ts';

let browser: Browser;
let site = '';

/** Publishes the milestone of a small campaign and unpacks its edition where nothing else of it is. */
beforeAll(async () => {
  browser = await startBrowser(inject('browser'));
  const { home, content } = smallDemo();
  for (const name of ['milestones', 'weeks', 'editions']) rmSync(join(content, name), { recursive: true, force: true });
  const campaign = join(content, 'campaign.md');
  const text = readFileSync(campaign, 'utf8');
  writeFileSync(campaign, `${text.slice(0, text.indexOf('\n---', 4))}\n---\nA small campaign.\n`);
  cpSync(new URL('../cli/milestone.md', import.meta.url), join(content, 'milestones/first.md'));
  const tool = fileURLToPath(new URL('../../src/cli/gapbook.mjs', import.meta.url));
  const made = spawnSync(
    process.execPath,
    [tool, 'publish', 'first', '--sessions', 'sessions', '--lap-pages', 'best'],
    {
      cwd: home,
      encoding: 'utf8',
      env: { ...process.env, NODE_ENV: 'production' },
    },
  );
  expect(made.status, made.stderr).toBe(0);
  const away = mkdtempSync(join(tmpdir(), 'gapbook away '));
  cpSync(join(content, 'editions/first/1'), join(away, 'an edition'), { recursive: true });
  rmSync(home, { recursive: true });
  site = join(away, 'an edition/data/site');
}, 300_000);

afterAll(() => browser?.close());

test('every page of an edition opens from its folder: no error, nothing asked for from anywhere else', {
  timeout: 300_000,
}, async () => {
  const pages = filesBelow(site).filter((path) => path.endsWith('.html'));
  expect(pages.length).toBeGreaterThan(15);
  const home = pathToFileURL(site).href;
  for (const path of pages) {
    const { page, errors, requests, close } = await look(browser, 'light', `${home}/${path}`);
    expect(errors, path).toEqual([]);
    expect(requests.filter((url) => !url.startsWith(home) && !url.startsWith('data:'))).toEqual([]);
    expect(await page.textContent('.colophon'), path).toContain('Edition 1, frozen.');
    await close();
  }
});

test('every link of an edition leads to something in it', () => {
  const there = new Set(filesBelow(site));
  for (const path of [...there].filter((name) => name.endsWith('.html'))) {
    const html = readFileSync(join(site, path), 'utf8');
    for (const [, link = ''] of html.matchAll(/\s(?:href|src)="([^"#]+)[^"]*"/g)) {
      if (/^(data|https?|mailto):/.test(link)) continue;
      const target = decodeURIComponent(new URL(link, `file:///${path}`).pathname).slice(1);
      expect(there.has(target), `${path} -> ${link}`).toBe(true);
    }
  }
});
