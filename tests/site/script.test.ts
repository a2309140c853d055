import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { pathToFileURL } from 'node:url';
import { gzipSync } from 'node:zlib';
import Papa from 'papaparse';
import type { Browser, BrowserContextOptions, Page } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, inject, test } from 'vitest';
import type { CampaignResult, SessionResult } from '../../src/campaign/results.ts';
import { bundle } from '../../src/pages/_script/bundle.ts';
import { lapPath, tableFolder } from '../../src/report/paths.ts';
import { accessibilityFaults, overflow, startBrowser } from './browser.ts';
import { onePerRoute, pagesOf } from './siteFolder.ts';

// What a page shows is checked against the results and tables that lie beside it, read here and now; where a mark
// stands, against the numbers that the figure's own axis bears and against the line of the circuit.
const site = inject('site');
const read = (path: string): string => readFileSync(join(site, path), 'utf8');
const pages = pagesOf(site);
const campaign = JSON.parse(read('campaign.json')) as CampaignResult;
const lapPage = onePerRoute(
  site,
  pages.filter((p) => p.startsWith('laps/') && FIGURES().every((id) => read(p).includes(`<figure id="${id}"`))),
)[0]!;
const session = JSON.parse(read(`results/${lapPage.split('/')[1]}.json`)) as SessionResult;
const circuit = campaign.circuits.find((c) => c.id === session.circuit)!;
const address = (page: string, fragment = ''): string => pathToFileURL(join(site, page)).href + fragment;

function FIGURES(): string[] {
  return ['gap-curve', 'speed-pair', 'loss-map'];
}

let browser: Browser;
beforeAll(async () => {
  browser = await startBrowser(inject('browser'));
});
afterAll(() => browser?.close());

/** Runs on a page in a context of its own. No error may have come up when it is done. */
async function on(
  page: string,
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
    await open.goto(address(page, fragment), { waitUntil: 'load' });
    await act(open);
    expect(errors).toEqual([]);
  } finally {
    await own.close();
  }
}

/** What stands in the rows of readings: title -> value, the same in every figure. */
async function readings(open: Page): Promise<Record<string, string>> {
  const rows = await open.evaluate(() =>
    [...document.querySelectorAll('.readings')].map((row) =>
      Object.fromEntries(
        [...row.querySelectorAll('dl > div')].map((d) => [
          d.querySelector('dt')!.textContent!,
          d.querySelector('dd')!.textContent!,
        ]),
      ),
    ),
  );
  expect(rows.length).toBeGreaterThan(0);
  for (const row of rows) expect(row).toEqual(rows[0]);
  return rows[0]!;
}

const metresOf = (text: string): number => Number(text.replace(/[^\d.]/g, ''));
const station = async (open: Page): Promise<number> => metresOf((await readings(open))['station']!);

/** A column of a table of curves at a station, between its rows. */
function valueAt(path: string, name: string, stationM: number): number {
  const { data, meta } = Papa.parse<Record<string, string>>(read(path), { header: true, skipEmptyLines: true });
  const column = (start: string): string => meta.fields!.find((f) => f.startsWith(start))!;
  const stations = data.map((row) => Number(row[column('station')]));
  const i = stations.findIndex((s) => s > stationM) - 1;
  const share = (stationM - stations[i]!) / (stations[i + 1]! - stations[i]!);
  return Number(data[i]![column(name)]) * (1 - share) + Number(data[i + 1]![column(name)]) * share;
}

/** Where the mark of a figure stands on the screen; null where there is none. */
const mark = (open: Page, id: string): Promise<{ x: number; y: number } | null> =>
  open.evaluate((figure) => {
    const found = [...document.querySelectorAll(`#${figure} svg .cursor > :is(path, circle)`)].find(
      (shape) => shape.getClientRects().length > 0,
    );
    const box = found?.getBoundingClientRect();
    return box ? { x: box.x + box.width / 2, y: box.y + box.height / 2 } : null;
  }, id);

/** Middle of a word of a figure on the screen. */
const word = (open: Page, id: string, text: string): Promise<{ x: number; y: number }> =>
  open.evaluate(
    ([figure, wanted]) => {
      const found = [...document.querySelectorAll(`#${figure} svg text`)].find(
        (t) => t.getClientRects().length > 0 && t.textContent!.replace(/\s/g, '') === wanted,
      );
      const box = found!.getBoundingClientRect();
      return { x: box.x + box.width / 2, y: box.y + box.height / 2 };
    },
    [id, text] as const,
  );

const settle = (open: Page): Promise<void> =>
  open.evaluate(() => new Promise((done) => requestAnimationFrame(() => requestAnimationFrame(() => done()))));

const surfaceOf = (id: string): string => `#${id} [role="slider"]`;

const bringIntoView = (open: Page, id: string): Promise<void> =>
  open.locator(surfaceOf(id)).evaluate((e) => e.scrollIntoView({ block: 'center', behavior: 'instant' }));

/** Moves the mouse to a share of a figure's box. */
async function pointAt(open: Page, id: string, across: number, down = 0.5): Promise<void> {
  await bringIntoView(open, id);
  const box = (await open.locator(surfaceOf(id)).boundingBox())!;
  await open.mouse.move(box.x + box.width * across, box.y + box.height * down);
  await settle(open);
}

/** A pixel of the wide drawing in metres, and a little for rounding to whole metres. */
const PIXEL_M = (circuit.lengthM / 800) * 1.2 + 0.6;

describe('the script', () => {
  test('weighs less than 30 kB packed, with what stands in every page', () => {
    const inline = [...read('index.html').matchAll(/<script>([\s\S]*?)<\/script>/g)].map((m) => m[1]!).join('');
    expect(inline.length).toBeGreaterThan(0);
    expect(gzipSync(read('script.js')).length + gzipSync(inline).length).toBeLessThan(30_000);
  });

  test('is one classic file and asks for nothing, and pages with their data stay below 400 kB', () => {
    expect(read('script.js')).not.toMatch(/\bfetch\(|\bimport\(|XMLHttpRequest|https?:\/\/(?!www\.w3\.org\/2000\/svg)/);
    for (const page of pages) {
      const html = read(page);
      const kinds = [...html.matchAll(/<script([^>]*)>/g)].map((m) => m[1]!.trim());
      expect(kinds.filter((k) => k.includes('module'))).toEqual([]);
      expect(kinds.filter((k) => k.includes('src='))).toEqual([
        `defer src="${'../'.repeat(page.split('/').length - 1)}script.js"`,
      ]);
      expect(Buffer.byteLength(html)).toBeLessThanOrEqual(400_000);
    }
  });

  test('comes out of every build as the same bytes', async () => {
    expect(await bundle('main.ts')).toBe(read('script.js'));
  });
});

describe('without script', () => {
  test.each([lapPage, `sessions/${lapPage.split('/')[1]}.html`])('%s is complete and shows no control', (page) =>
    on(
      page,
      async (open) => {
        const added = 'button, select, input, [role="slider"], [role="status"], .readings, .compare, .colours, .frame';
        expect(await open.locator(added).count()).toBe(0);
        const figures = await open.locator('main figure').count();
        const tables = await open.locator('main table').count();
        expect(figures + tables).toBeGreaterThan(2);
        const data = open.locator('script[type="application/json"]');
        expect(await data.count()).toBeGreaterThan(0);
        expect(await data.evaluateAll((all) => all.filter((e) => e.getClientRects().length > 0).length)).toBe(0);
        // With script the same is there, and more.
        await on(page, async (other) => {
          expect(await other.locator('main figure').count()).toBeGreaterThanOrEqual(figures);
          expect(await other.locator('main table').count()).toBeGreaterThanOrEqual(tables);
          expect(await other.locator('.readings').count()).toBeGreaterThan(0);
        });
      },
      { javaScriptEnabled: false },
    ),
  );
});

describe('the cursor of a lap', () => {
  test.each(FIGURES())('is moved by the mouse on %s and stands at one station in all three', (id) =>
    on(lapPage, async (open) => {
      await pointAt(open, id, 0.4);
      const s = await station(open);
      expect(s).toBeGreaterThan(0);
      for (const other of FIGURES()) expect(await mark(open, other)).not.toBeNull();
      const [gap, speed] = [(await mark(open, 'gap-curve'))!, (await mark(open, 'speed-pair'))!];
      // Both axes bear the same stations at the same places.
      expect(gap.x).toBeCloseTo(speed.x, 0);
      for (const figure of ['gap-curve', 'speed-pair'])
        expect(await open.locator(`#${figure} .cursor text:visible`).textContent()).toMatch(
          new RegExp(`^${String(s).replace(/\B(?=(\d{3})+$)/g, '.')}.m$`),
        );
    }),
  );

  test('stands where the axis says it does', () =>
    on(lapPage, async (open) => {
      for (const id of ['gap-curve', 'speed-pair'])
        for (const [text, metres] of [
          ['1000', 1000],
          ['2000', 2000],
        ] as const) {
          if (metres > circuit.lengthM) continue;
          await bringIntoView(open, id);
          await open.keyboard.press('Escape');
          const at = await word(open, id, text);
          await open.mouse.move(at.x, at.y - 60);
          await settle(open);
          expect(Math.abs((await station(open)) - metres)).toBeLessThanOrEqual(PIXEL_M);
          expect(Math.abs((await mark(open, id))!.x - at.x)).toBeLessThanOrEqual(1.5);
        }
    }));

  test('lies on the map as the station lies on the line of the circuit', () =>
    on(lapPage, async (open) => {
      const n = circuit.eastM.length;
      const places = [0.05, 0.2, 0.4, 0.6, 0.8].map((share) => Math.round(share * n));
      const marks: { x: number; y: number }[] = [];
      for (const i of places) {
        await open.evaluate(
          (m) => {
            location.hash = `#at=${m}`;
          },
          Math.round(i * circuit.stepM),
        );
        await settle(open);
        // Beside the figure's own corner, so that scrolling makes no difference.
        const box = (await open.locator('#loss-map svg:visible').boundingBox())!;
        const at = (await mark(open, 'loss-map'))!;
        marks.push({ x: at.x - box.x, y: at.y - box.y });
      }
      const ground = places.map((i) => ({ x: circuit.eastM[i]!, y: circuit.northM[i]! }));
      const apart = (p: { x: number; y: number }, q: { x: number; y: number }): number =>
        Math.hypot(p.x - q.x, p.y - q.y);
      const scales = places.slice(1).map((_, i) => apart(marks[0]!, marks[i + 1]!) / apart(ground[0]!, ground[i + 1]!));
      const scale = scales.reduce((a, b) => a + b) / scales.length;
      places.forEach((_, i) => {
        places.forEach((__, k) => {
          expect(Math.abs(apart(marks[i]!, marks[k]!) - scale * apart(ground[i]!, ground[k]!))).toBeLessThan(2.5);
        });
      });
      // And the other way round: who points there reads that station.
      await open.keyboard.press('Escape');
      await bringIntoView(open, 'loss-map');
      const box = (await open.locator('#loss-map svg:visible').boundingBox())!;
      await open.mouse.move(box.x + marks[2]!.x, box.y + marks[2]!.y);
      await settle(open);
      expect(Math.abs((await station(open)) - places[2]! * circuit.stepM)).toBeLessThan(2 / scale + 1);
    }));

  test('shows the values of the table behind the figure', () =>
    on(
      lapPage,
      async (open) => {
        const href = await open.locator('#gap-curve + details a[href$=".csv"]').first().getAttribute('href');
        const path = new URL(href!, new URL(encodeURI(lapPage), 'file:///')).pathname.slice(1);
        const { session: of, run, lap } = session.reference!;
        const referencePath = `${tableFolder(lapPath(of, run, lap))}/curves.csv`;
        const at = (name: string, file = decodeURIComponent(path)): number => valueAt(file, name, 1204);
        const shown = await readings(open);
        const value = (start: string, text = shown[Object.keys(shown).find((k) => k.startsWith(start))!]!): number =>
          Number(text.replace('−', '-').match(/[-+]?[\d.]+/)![0]);
        expect(metresOf(shown['station']!)).toBe(1204);
        expect(Math.abs(value('gap so far') - at('gap'))).toBeLessThan(0.0035);
        expect(Math.abs(value('this lap') - at('speed'))).toBeLessThan(0.35);
        expect(Math.abs(value('reference, km/h') - at('reference speed'))).toBeLessThan(0.35);
        expect(value('difference')).toBeCloseTo(value('this lap') - value('reference, km/h'), 0);
        for (const [title, file] of [
          ['from the line', undefined],
          ['reference, m', referencePath],
        ] as const) {
          const text = shown[Object.keys(shown).find((k) => k.startsWith(title))!]!;
          // Positive offsets lie left of travel.
          const side = text.includes('right') ? -1 : 1;
          expect(Math.abs(side * value(title, text) - at('offset', file))).toBeLessThan(0.05);
        }
      },
      { fragment: '#at=1204' },
    ));

  test('goes by keys: a metre, ten, from corner to corner, to a corner by its number, and away', () =>
    on(lapPage, async (open) => {
      const surface = open.locator(surfaceOf('speed-pair'));
      await surface.focus();
      const press = async (key: string): Promise<number> => {
        await open.keyboard.press(key);
        return station(open);
      };
      expect(await press('Home')).toBe(0);
      expect(await press('ArrowRight')).toBe(1);
      expect(await press('Shift+ArrowRight')).toBe(11);
      expect(await press('ArrowLeft')).toBe(10);
      expect(await press('Shift+ArrowLeft')).toBe(0);
      expect(await press('ArrowLeft')).toBe(0);
      expect(await press('End')).toBe(Math.round(circuit.lengthM));
      expect(await press('ArrowRight')).toBe(Math.round(circuit.lengthM));
      const within = (s: number, { entryM, exitM }: { entryM: number; exitM: number }): boolean =>
        entryM <= exitM ? s >= entryM - 1 && s <= exitM + 1 : s >= entryM - 1 || s <= exitM + 1;
      await press('Home');
      const ordered = [...circuit.corners].sort((p, q) => p.entryM - q.entryM).filter((c) => c.entryM <= c.exitM);
      for (const corner of ordered.slice(0, 3)) expect(within(await press('.'), corner)).toBe(true);
      expect(within(await press(','), ordered[1]!)).toBe(true);
      const numbered = circuit.corners.filter((c) => /^\d$/.test(c.name));
      for (const corner of numbered.slice(0, 2)) {
        await open.waitForTimeout(1000);
        expect(within(await press(corner.name), corner)).toBe(true);
      }
      const long = circuit.corners.find((c) => /^\d\d$/.test(c.name));
      if (long) {
        await open.waitForTimeout(1000);
        await press(long.name[0]!);
        expect(within(await press(long.name[1]!), long)).toBe(true);
      }
      expect(await surface.getAttribute('aria-valuenow')).toBe(String(await station(open)));
      await open.keyboard.press('Escape');
      for (const id of FIGURES()) expect(await mark(open, id)).toBeNull();
      expect((await readings(open))['station']).toBe('–');
      await expect.poll(() => open.evaluate(() => location.hash)).toBe('');
    }));

  test('explains its keys on the page, and the figures that take them say so', () =>
    on(lapPage, async (open) => {
      const help = open.locator('.keys');
      expect(await help.count()).toBe(1);
      for (const key of ['←', '→', 'Shift', ',', '.', 'Home', 'End', 'Esc'])
        expect(await help.locator('kbd', { hasText: key }).count()).toBeGreaterThan(0);
      for (const id of FIGURES())
        expect(await open.locator(surfaceOf(id)).getAttribute('aria-describedby')).toBe(await help.getAttribute('id'));
    }));

  test('is said aloud when it rests, not at every step', () =>
    on(lapPage, async (open) => {
      const region = open.locator('main .spoken[role="status"]');
      expect(await region.getAttribute('aria-live')).toBe('polite');
      await region.evaluate((e) => {
        const counter = e as HTMLElement & { changes: number };
        counter.changes = 0;
        new MutationObserver(() => (counter.changes += 1)).observe(e, {
          childList: true,
          characterData: true,
          subtree: true,
        });
      });
      await open.locator(surfaceOf('gap-curve')).focus();
      for (let i = 0; i < 25; i += 1) await open.keyboard.press('ArrowRight');
      await expect.poll(() => region.textContent()).toMatch(/^24.m, .*Gap .*Speed .*km\/h/);
      expect(await region.evaluate((e) => (e as HTMLElement & { changes: number }).changes)).toBeLessThanOrEqual(3);
    }));

  test('stays when held by a click, and lets go by another', () =>
    on(lapPage, async (open) => {
      await pointAt(open, 'gap-curve', 0.3);
      await open.mouse.down();
      await open.mouse.up();
      const held = await station(open);
      await pointAt(open, 'gap-curve', 0.6);
      expect(await station(open)).toBe(held);
      await open.mouse.down();
      await open.mouse.up();
      await pointAt(open, 'gap-curve', 0.7);
      expect(await station(open)).not.toBe(held);
    }));

  test('works by touch: a tap on the map, a finger drawn along a curve', () =>
    on(
      lapPage,
      async (open) => {
        await bringIntoView(open, 'loss-map');
        const map = (await open.locator(surfaceOf('loss-map')).boundingBox())!;
        await open.touchscreen.tap(map.x + map.width / 2, map.y + map.height / 2);
        await settle(open);
        for (const id of FIGURES()) expect(await mark(open, id)).not.toBeNull();
        const tapped = await station(open);
        await bringIntoView(open, 'gap-curve');
        const box = (await open.locator(surfaceOf('gap-curve')).boundingBox())!;
        const touch = await open.context().newCDPSession(open);
        const point = (x: number): { x: number; y: number }[] => [
          { x: box.x + box.width * x, y: box.y + box.height / 2 },
        ];
        await touch.send('Input.dispatchTouchEvent', { type: 'touchStart', touchPoints: point(0.3) });
        for (const x of [0.32, 0.4, 0.5, 0.6])
          await touch.send('Input.dispatchTouchEvent', { type: 'touchMove', touchPoints: point(x) });
        await settle(open);
        const drawn = await station(open);
        await touch.send('Input.dispatchTouchEvent', { type: 'touchEnd', touchPoints: [] });
        expect(drawn).not.toBe(tapped);
        // The narrow drawing bears its stations at other places, so the mark itself is looked at.
        expect(Math.abs((await mark(open, 'gap-curve'))!.x - (box.x + box.width * 0.6))).toBeLessThan(2);
      },
      { viewport: { width: 390, height: 844 }, hasTouch: true, isMobile: true },
    ));
});

describe('the address', () => {
  test('brings a station back, when opened and after a reload', () =>
    on(
      lapPage,
      async (open) => {
        expect(await station(open)).toBe(731);
        // Whoever follows such a link is led to the figure.
        expect(await open.evaluate(() => scrollY)).toBeGreaterThan(0);
        await open.reload();
        expect(await station(open)).toBe(731);
      },
      { fragment: '#at=731' },
    ));

  test('follows the cursor without a step of the history, so that going back leaves the page', () =>
    on('index.html', async (open) => {
      await open.goto(address(lapPage));
      const steps = await open.evaluate(() => history.length);
      await open.locator(surfaceOf('gap-curve')).focus();
      for (let i = 0; i < 5; i += 1) await open.keyboard.press('Shift+ArrowRight');
      await expect.poll(() => open.evaluate(() => location.hash)).toBe('#at=40');
      expect(await open.evaluate(() => history.length)).toBe(steps);
      await open.goBack();
      expect(open.url()).toBe(address('index.html'));
      await open.goForward();
      expect(await station(open)).toBe(40);
    }));

  test('leaves anchors of the page alone, and nonsense without effect', () =>
    on(lapPage, async (open) => {
      await open.locator(surfaceOf('gap-curve')).focus();
      await open.keyboard.press('End');
      const end = await station(open);
      await open.evaluate(() => {
        location.hash = '#provenance';
      });
      await settle(open);
      expect(await station(open)).toBe(end);
      for (const nonsense of ['#at=', '#at=%E0%A4%A', '#at=x', '#&&=', '#at=1e9']) {
        await open.evaluate((hash) => {
          location.hash = hash;
        }, nonsense);
        await settle(open);
        expect(await station(open)).toBe(end);
      }
    }));
});

// In light every page is looked at elsewhere, with the script running.
for (const [mode, how] of [
  ['dark', { colorScheme: 'dark' }],
  ['phone', { viewport: { width: 390, height: 844 }, hasTouch: true }],
] as const)
  test(`a lap read at a station is accessible and no wider than the window in ${mode}`, () =>
    on(
      lapPage,
      async (open) => {
        expect(await station(open)).toBe(1204);
        expect(await accessibilityFaults(open)).toEqual([]);
        expect(await overflow(open)).toBeLessThanOrEqual(0);
      },
      { ...how, fragment: '#at=1204' },
    ));
