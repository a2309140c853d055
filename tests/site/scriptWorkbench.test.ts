import { existsSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { pathToFileURL } from 'node:url';
import type { Browser, BrowserContextOptions, Page } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, inject, test } from 'vitest';
import type { CampaignResult, SessionResult } from '../../src/campaign/results.ts';
import { accessibilityFaults, overflow, startBrowser } from './browser.ts';
import { filesBelow } from './siteFolder.ts';

// Times are formed here from the mixtures in the results that lie beside the pages.
const site = inject('site');
const read = <T>(path: string): T => JSON.parse(readFileSync(join(site, path), 'utf8')) as T;
const sessions = read<CampaignResult>('campaign.json')
  .sessions.filter((id) => existsSync(join(site, 'results', `${id}.json`)))
  .map((id) => read<SessionResult>(`results/${id}.json`));
/** The median lap of the last session on the track. */
const session = sessions.findLast((s) => s.stage === 'track' && s.rider.kind === 'robot' && s.summary)!;
const { run, lap: number } = session.summary!.medianLap;
const lap = session.runs.find((r) => r.file === run)!.laps.find((l) => l.lap === number)!;
const page = filesBelow(site).find(
  (f) => f.startsWith(`laps/${session.session}/${run.replace(/\..*$/, '')}-`) && f.endsWith(`-lap-${number}.html`),
)!;
const [line, entry, apex, exit] = [1, 2, 4, 8];
const windows = lap.causes!.windows;
const at = (corner: string): number => windows.findIndex((w) => w.corner === corner && w.part === null);

/** What parts of a stretch from the reference save, s, with what the speed at its end changes later. */
const saved = ({ mixtureS, mixtureLaterS }: (typeof windows)[number], mask: number): number =>
  mixtureS[0]! + mixtureLaterS[0]! - mixtureS[mask]! - mixtureLaterS[mask]!;

/** The lap's time with parts of some corners taken from the reference, by their corners, s. */
const expected = (taken: Readonly<Record<string, number>>): number =>
  Object.entries(taken).reduce((timeS, [corner, mask]) => timeS - saved(windows[at(corner)]!, mask), lap.timeS!);

let browser: Browser;
beforeAll(async () => {
  browser = await startBrowser(inject('browser'));
});
afterAll(() => browser?.close());

async function on(
  act: (open: Page) => Promise<void>,
  options: BrowserContextOptions & { fragment?: string } = {},
): Promise<void> {
  const { fragment = '', ...context } = options;
  const own = await browser.newContext({ viewport: { width: 1200, height: 900 }, ...context });
  try {
    const open = await own.newPage();
    const errors: string[] = [];
    open.on('console', (message) => message.type() === 'error' && errors.push(message.text()));
    open.on('pageerror', (error) => errors.push(String(error)));
    await open.goto(pathToFileURL(join(site, page)).href + fragment, { waitUntil: 'load' });
    await act(open);
    expect(errors).toEqual([]);
  } finally {
    await own.close();
  }
}

const said = (open: Page): Promise<string> => open.locator('#workbench [role=status]').textContent() as Promise<string>;
/** Seconds of the lap time that the page says. */
async function timeOf(open: Page): Promise<number> {
  const [, minutes, rest] = (await said(open)).match(/^(\d+):(\d\d\.\d+)/)!;
  return Number(minutes) * 60 + Number(rest);
}
const box = (open: Page, name: string) => open.locator(`#workbench input[aria-label^="${name},"]`);
/** Half of the last digit that is shown, and as much again for what results and pages round. */
const near = (seconds: number) => ({ low: seconds - 0.0056, high: seconds + 0.0056 });
const expectTime = async (open: Page, seconds: number): Promise<void> => {
  const shown = await timeOf(open);
  expect(shown).toBeGreaterThanOrEqual(near(seconds).low);
  expect(shown).toBeLessThanOrEqual(near(seconds).high);
};

describe('the workbench of a lap', () => {
  test('without script is a table of single exchanges, and nothing on it is dead', async () => {
    await on(
      async (open) => {
        expect(await open.locator('#workbench input, #workbench button').count()).toBe(0);
        const rows = open.locator('#workbench tbody tr');
        expect(await rows.count()).toBe(windows.length);
        const cells = await rows.nth(at('6')).locator('td').allInnerTexts();
        const value = (text: string): number => Number(text.replace('−', '-'));
        const masks = [line, entry, apex, exit, 15];
        cells.forEach((text, i) => {
          expect(Math.abs(value(text) - (expected({ 6: masks[i]! }) - lap.timeS!))).toBeLessThan(0.0056);
        });
      },
      { javaScriptEnabled: false },
    );
  });

  test('with nothing taken is the lap, with everything the reference lap', async () => {
    await on(async (open) => {
      await expectTime(open, lap.timeS!);
      await open.getByRole('button', { name: 'Take everything' }).click();
      await expectTime(open, session.reference!.timeS);
      expect(await said(open)).toContain('the reference lap');
      expect(await open.locator('#workbench input:not(:checked)').count()).toBe(0);
      expect(new URL(open.url()).hash).toBe('#take=all');
      await open.getByRole('button', { name: 'Take nothing' }).click();
      await expectTime(open, lap.timeS!);
      expect(await open.locator('#workbench input:checked').count()).toBe(0);
      expect(new URL(open.url()).hash).toBe('');
    });
  });

  test('adds up what the results hold for a choice of parts', async () => {
    await on(async (open) => {
      await box(open, 'corner 6, entry').check();
      await expectTime(open, expected({ 6: entry }));
      expect(await said(open)).toContain('with the entry of corner 6 from the reference');
      await box(open, 'corner 6, exit').check();
      await box(open, 'corner 3, all four').check();
      await expectTime(open, expected({ 6: entry | exit, 3: 15 }));
      expect(await box(open, 'corner 3, line').isChecked()).toBe(true);
      expect(await box(open, 'corner 6, all four').evaluate((e: HTMLInputElement) => e.indeterminate)).toBe(true);
      await box(open, 'corner 6, entry').uncheck();
      await expectTime(open, expected({ 6: exit, 3: 15 }));
    });
  });

  test('takes one part of every corner at once', async () => {
    await on(async (open) => {
      await box(open, 'every corner, entry').check();
      await expectTime(
        open,
        windows.reduce((timeS, window) => timeS - saved(window, entry), lap.timeS!),
      );
    });
  });

  test('keeps the choice in its address, and leads to it', async () => {
    await on(
      async (open) => {
        await expectTime(open, expected({ 3: line | apex, 6: entry }));
        expect(await open.locator('.workbench').evaluate((e) => e.getBoundingClientRect().top)).toBeLessThan(900);
        await box(open, 'corner 6, entry').uncheck();
        expect(new URL(open.url()).hash).toBe('#at=300&take=3.line.apex');
        await open.evaluate(() => {
          location.hash = '#take=6.entry,99.exit,6.nonsense';
        });
        await expect.poll(() => timeOf(open)).not.toBeCloseTo(expected({ 3: line | apex }), 2);
        await expectTime(open, expected({ 6: entry }));
      },
      { fragment: '#take=3.line.apex,6.entry&at=300' },
    );
  });

  test('is worked from the keyboard', async () => {
    await on(async (open) => {
      await box(open, 'corner 5, exit').focus();
      await open.keyboard.press('ArrowDown');
      await open.keyboard.press('ArrowLeft');
      await open.keyboard.press('Space');
      await expectTime(open, expected({ 6: apex }));
      expect(await open.evaluate(() => document.activeElement?.getAttribute('aria-label'))).toMatch(
        /^corner 6, corner speed, [−+]?\d\.\d\d\u202fs$/,
      );
    });
  });

  test.each([
    ['light', {}],
    ['dark', { colorScheme: 'dark' as const }],
    ['phone', { viewport: { width: 390, height: 844 } }],
  ])('has no fault of access and nothing that sticks out: %s', async (_, options) => {
    await on(
      async (open) => {
        expect(await accessibilityFaults(open)).toEqual([]);
        expect(await overflow(open)).toBe(0);
        const sizes = await open
          .locator('#workbench label')
          .evaluateAll((labels) => labels.map((l) => l.getBoundingClientRect().height));
        expect(Math.min(...sizes)).toBeGreaterThanOrEqual(24);
      },
      { ...options, fragment: '#take=3.line.entry' },
    );
  });

  test('prints what was taken, without boxes', async () => {
    await on(
      async (open) => {
        await open.emulateMedia({ media: 'print' });
        expect(await open.locator('#workbench input').first().isVisible()).toBe(false);
        expect(await open.locator('#workbench button').first().isVisible()).toBe(false);
        expect(await open.locator('#workbench [role=status]').isVisible()).toBe(true);
        // What sticks to the edge of a window is printed over some other page.
        const stuck = await open
          .locator('body *')
          .evaluateAll((all) =>
            all.filter((e) => ['sticky', 'fixed'].includes(getComputedStyle(e).position)).map((e) => e.className),
          );
        expect(stuck).toEqual([]);
        expect(await open.locator('#workbench .taken').count()).toBe(1);
      },
      { fragment: '#take=6.entry' },
    );
  });
});
