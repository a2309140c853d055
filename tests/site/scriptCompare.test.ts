import { existsSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { pathToFileURL } from 'node:url';
import type { Browser, BrowserContextOptions, Page } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, inject, test } from 'vitest';
import type { CampaignResult, SessionResult } from '../../src/campaign/results.ts';
import { accessibilityFaults, overflow, startBrowser } from './browser.ts';

// Times are those of the results that lie beside the pages; every difference is formed here.
const site = inject('site');
const read = <T>(path: string): T => JSON.parse(readFileSync(join(site, path), 'utf8')) as T;
const sessions = read<CampaignResult>('campaign.json')
  .sessions.filter((id) => existsSync(join(site, 'results', `${id}.json`)))
  .map((id) => read<SessionResult>(`results/${id}.json`));
const timesOf = (session: SessionResult): number[] =>
  session.runs.flatMap((run) => run.laps.flatMap((lap) => (lap.curves && lap.timeS !== null ? [lap.timeS] : [])));
/** A session of a robot with as many laps as any. */
const session = sessions
  .filter((s) => s.rider.kind === 'robot' && s.reference)
  .sort((a, b) => timesOf(b).length - timesOf(a).length)[0]!;
const address = (of: SessionResult, fragment = ''): string =>
  pathToFileURL(join(site, 'sessions', `${of.session}.html`)).href + fragment;

let browser: Browser;
beforeAll(async () => {
  browser = await startBrowser(inject('browser'));
});
afterAll(() => browser?.close());

async function on(
  of: SessionResult,
  act: (open: Page) => Promise<void>,
  options: BrowserContextOptions & { fragment?: string } = {},
): Promise<void> {
  const { fragment, ...context } = options;
  const own = await browser.newContext({ viewport: { width: 1200, height: 900 }, ...context });
  try {
    const open = await own.newPage();
    const errors: string[] = [];
    open.on('console', (message) => message.type() === 'error' && errors.push(message.text()));
    open.on('pageerror', (error) => errors.push(String(error)));
    await open.goto(address(of, fragment), { waitUntil: 'load' });
    await act(open);
    expect(errors).toEqual([]);
  } finally {
    await own.close();
  }
}

/** Seconds of a lap time as it is written, `1:29.386`. */
function secondsOf(text: string): number {
  const [, minutes, rest] = text.match(/(\d+):(\d\d\.\d+)/)!;
  return Number(minutes) * 60 + Number(rest);
}

const options = (open: Page, which: 0 | 1): Promise<{ value: string; text: string }[]> =>
  open
    .locator('.choice select')
    .nth(which)
    .locator('option')
    .evaluateAll((all) => all.map((o) => ({ value: (o as HTMLOptionElement).value, text: o.textContent! })));

const signedNumber = (text: string): number => Number(text.replace('−', '-').replace('+', ''));

/** The sentence's difference in seconds: positive behind. */
async function said(open: Page): Promise<number> {
  const text = (await open.locator('.compare .words').textContent())!;
  if (/ are level/.test(text)) return 0;
  const [, amount, way] = text.match(/ is ([\d.]+)(?: ±.[\d.]+)?.s (behind|ahead)/)!;
  return way === 'behind' ? Number(amount) : -Number(amount);
}

describe('two laps of a session against each other', () => {
  test('all complete laps and the reference lap can be chosen, with the times of the results', () =>
    on(session, async (open) => {
      const own = timesOf(session).map((t) => t.toFixed(3));
      const expected = [...own, session.reference!.timeS.toFixed(3)].sort();
      for (const which of [0, 1] as const)
        expect((await options(open, which)).map((o) => secondsOf(o.text).toFixed(3)).sort()).toEqual(expected);
    }));

  test('the difference is that of the lap times, in the sentence, the table and at the gate, whichever pair', () =>
    on(session, async (open) => {
      const all = await options(open, 0);
      const exact = [...timesOf(session), session.reference!.timeS];
      const timeOf = (text: string): number => exact.find((t) => Math.abs(t - secondsOf(text)) < 6e-4)!;
      const pairs = [
        [all[0]!, all[1]!],
        [all[1]!, all[0]!],
        [all[0]!, all.at(-1)!],
        [all.at(-1)!, all.at(-2)!],
      ] as const;
      for (const [a, b] of pairs) {
        await open.locator('.choice select').nth(0).selectOption(a.value);
        await open.locator('.choice select').nth(1).selectOption(b.value);
        const difference = timeOf(a.text) - timeOf(b.text);
        const sentence = (await open.locator('.compare .words').textContent())!;
        const digits = sentence.match(/ (?:is|within) [\d]+\.(\d+)/)?.[1]?.length ?? 3;
        expect(await said(open)).toBeCloseTo(Number(difference.toFixed(digits)), 6);

        const column = await open.locator('.compare tbody td:nth-child(2)').allTextContents();
        const total = (await open.locator('.compare tfoot td:nth-child(2)').textContent())!;
        const shown = total.split('.')[1]?.length ?? 0;
        expect(signedNumber(total)).toBeCloseTo(Number(difference.toFixed(shown)), 6);
        expect(column.length).toBeGreaterThan(3);
        expect(column.reduce((sum, text) => sum + signedNumber(text), 0)).toBeCloseTo(signedNumber(total), 6);

        await open.locator('#compared-gap [role="slider"]').focus();
        await open.keyboard.press('End');
        const gap = await open
          .locator('#compared-gap .readings dl > div', { hasText: 'gap so far' })
          .locator('dd')
          .textContent();
        expect(Math.abs(signedNumber(gap!.split(' ')[0]!) - difference)).toBeLessThan(0.0016);
      }
    }));

  test('each corner’s difference is that of the two ledgers', () =>
    on(session, async (open) => {
      const laps = session.runs.flatMap((run) => run.laps.filter((l) => l.curves && l.timeS !== null));
      const [a, b] = [laps[0]!, laps[1]!];
      const all = await options(open, 0);
      await open.locator('.choice select').nth(0).selectOption(all[0]!.value);
      await open.locator('.choice select').nth(1).selectOption(all[1]!.value);
      const rows = await open
        .locator('.compare tbody tr')
        .evaluateAll((trs) => trs.map((tr) => [...tr.children].map((c) => c.textContent!)));
      const sum = (lap: typeof a, corner: string): number =>
        lap.ledger.filter((c) => c.corner === corner).reduce((s, c) => s + c.gapS, 0);
      let checked = 0;
      for (const corner of new Set(a.ledger.map((c) => c.corner))) {
        // A window that the gate cuts has two rows, of which one bears another name.
        if ([...a.ledger, ...b.ledger].some((c) => c.corner === corner && c.part)) continue;
        const row = rows.find((r) => r[0] === corner)!;
        const step = 10 ** -(row[1]!.split('.')[1]?.length ?? 0);
        expect(Math.abs(signedNumber(row[1]!) - (sum(a, corner) - sum(b, corner)))).toBeLessThanOrEqual(step * 1.001);
        checked += 1;
      }
      expect(checked).toBeGreaterThan(3);
    }));

  test('the pair is kept in the address and comes back', () =>
    on(session, async (open) => {
      const all = await options(open, 0);
      const steps = await open.evaluate(() => history.length);
      await open.locator('.choice select').nth(0).selectOption(all[1]!.value);
      await open.locator('.choice select').nth(1).selectOption(all.at(-1)!.value);
      const hash = await open.evaluate(() => location.hash);
      expect(hash).toBe(`#laps=${all[1]!.value},${all.at(-1)!.value}`);
      expect(await open.evaluate(() => history.length)).toBe(steps);
      const sentence = await open.locator('.compare .words').textContent();
      await open.reload();
      expect(await open.locator('.compare .words').textContent()).toBe(sentence);
      // A lap that is not there leaves the pair as it is.
      await open.evaluate(() => {
        location.hash = '#laps=nobody,nothing';
      });
      expect(await open.locator('.compare .words').textContent()).toBe(sentence);
    }));

  test('one lap twice is said, not drawn', () =>
    on(session, async (open) => {
      const all = await options(open, 0);
      for (const which of [0, 1] as const) await open.locator('.choice select').nth(which).selectOption(all[0]!.value);
      expect(await open.locator('.compare figure:visible').count()).toBe(0);
      expect(await open.locator('.compare .words').textContent()).toContain('same lap twice');
      await open.locator('.choice select').nth(1).selectOption(all[1]!.value);
      expect(await open.locator('.compare figure:visible').count()).toBe(2);
    }));

  test('figures are numbered on, named, and draw no number that is none', () =>
    on(session, async (open) => {
      const heads = await open.locator('main figcaption strong').allTextContents();
      expect(heads.map((h) => Number(h.match(/^Figure (\d+)\./)![1]))).toEqual(heads.map((_, i) => i + 1));
      for (const svg of await open.locator('.compare svg').all()) {
        expect((await svg.getAttribute('aria-label'))!.length).toBeGreaterThan(20);
        expect(await svg.evaluate((e) => e.outerHTML)).not.toMatch(/NaN|Infinity|undefined/);
      }
      for (const href of await open
        .locator('.compare a')
        .evaluateAll((all) => all.map((a) => (a as HTMLAnchorElement).href)))
        expect(existsSync(new URL(href))).toBe(true);
    }));

  for (const [mode, how] of [
    ['dark', { colorScheme: 'dark' }],
    ['phone', { viewport: { width: 390, height: 844 }, hasTouch: true }],
  ] as const)
    test(`is accessible and no wider than the window in ${mode}`, () =>
      on(
        session,
        async (open) => {
          expect(await open.locator('.compare .cursor:has(*)').count()).toBe(2);
          expect(await accessibilityFaults(open)).toEqual([]);
          expect(await overflow(open)).toBeLessThanOrEqual(0);
        },
        { ...how, fragment: '#at=900' },
      ));

  test('has its data on every session with two laps to compare, and on no other', () => {
    for (const of of sessions) {
      const own = of.reference?.session === of.session;
      const choices = timesOf(of).length + (of.reference && !own ? 1 : 0);
      const html = readFileSync(join(site, 'sessions', `${of.session}.html`), 'utf8');
      expect(html.includes('id="compare-data"'), of.session).toBe(choices > 1);
    }
  });
});
