import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { pathToFileURL } from 'node:url';
import type { Browser, Page } from 'playwright-core';
import { extractText, getDocumentProxy } from 'unpdf';
import { afterAll, beforeAll, describe, expect, inject, test } from 'vitest';
import { printed, printedWhole } from '../../src/cli/printed.ts';
import { SENTENCE_LETTERS } from '../../src/read/milestoneFile.ts';
import { startBrowser } from './browser.ts';
import { filesBelow } from './siteFolder.ts';

// Read back by a reader of PDF that is not ours. What has to stand there is read off the page of the site.
const site = inject('site');
const path = inject('browser');
const all = filesBelow(site).filter((page) => page.startsWith('briefs/') && page.endsWith('.html'));
// Those of the milestones and of the last week; every one in the full run.
const briefs = process.env['GAPBOOK_FULL'] === '1' ? all : [...all.filter((b) => !b.includes('-W')), ...all.slice(-1)];
const milestones = filesBelow(site).filter((page) => page.startsWith('milestones/') && page.endsWith('.html'));

interface ReadPdf {
  readonly pages: readonly string[];
  readonly marked: boolean;
  readonly title: string;
  /** Names of fonts that are not in the file. */
  readonly missing: readonly string[];
  readonly fonts: number;
  /** Fonts that are drawings of letters: no reader of PDF can hint them or hand their text on well. */
  readonly drawn: number;
  /** A structure that a screen reader can follow, on each page. */
  readonly tagged: boolean;
  readonly pictures: number;
}

async function read(bytes: Uint8Array): Promise<ReadPdf> {
  const pictures = [
    ...Buffer.from(bytes)
      .toString('latin1')
      .matchAll(/\/Subtype\s*\/Image\b/g),
  ].length;
  const document = await getDocumentProxy(new Uint8Array(bytes));
  const { text } = await extractText(document, { mergePages: false });
  const missing: string[] = [];
  let fonts = 0;
  let drawn = 0;
  let tagged = true;
  for (let number = 1; number <= document.numPages; number++) {
    const page = await document.getPage(number);
    await page.getOperatorList();
    tagged &&= (await page.getStructTree()) !== null;
    for (const [, object] of page.commonObjs as Iterable<
      [string, { missingFile?: boolean; name?: string; isType3Font?: boolean }]
    >)
      if (object && typeof object === 'object' && 'missingFile' in object) {
        fonts++;
        if (object.isType3Font) drawn++;
        if (object.missingFile) missing.push(object.name ?? '?');
      }
  }
  const { info } = (await document.getMetadata()) as { info: { Title?: string } };
  const marks = (await document.getMarkInfo()) as { Marked?: boolean } | null;
  return {
    pages: text,
    marked: marks?.Marked === true,
    title: info.Title ?? '',
    missing,
    fonts,
    drawn,
    tagged,
    pictures,
  };
}

/** Letters alone: a line’s end, a hyphen at it and the kind of apostrophe are no difference. */
const bare = (text: string): string =>
  text
    .normalize('NFKC')
    .replace(/[\s\u2010\u2011-]+/g, '')
    .replace(/[’ʼ']/g, '’');

let browser: Browser;
beforeAll(async () => {
  browser = await startBrowser(path);
});
afterAll(() => browser?.close());

async function opened(file: string): Promise<Page> {
  const page = await browser.newPage({ viewport: { width: 658, height: 971 } });
  await page.goto(pathToFileURL(join(site, file)).href);
  return page;
}
const printedPage = async (page: Page): Promise<Uint8Array> =>
  page.pdf({ preferCSSPageSize: true, printBackground: true, tagged: true, outline: true });

/** What of a page’s text is cut off by its own box or by the edge of the paper. */
const clipped = (page: Page): Promise<string[]> =>
  page.evaluate(() =>
    [...document.querySelectorAll('main *')]
      .filter((element) => {
        const box = element.getBoundingClientRect();
        const { overflowX, display, position } = getComputedStyle(element);
        if (box.width === 0 || position === 'absolute' || element.closest('svg, table')) return false;
        if (display !== 'inline' && overflowX !== 'visible' && element.scrollWidth > element.clientWidth + 1)
          return true;
        return box.right > document.documentElement.clientWidth + 1 || box.left < -1;
      })
      .map((element) => `${element.tagName} ${element.textContent?.slice(0, 40)}`),
  );

describe('a brief is one page', () => {
  test.each(briefs)('%s', async (brief) => {
    const page = await opened(brief);
    const wanted = await page.evaluate(() =>
      [...document.querySelectorAll('h1, .said p, .numbers strong, .asks li, .foot')].map((e) => e.textContent ?? ''),
    );
    await page.close();
    const bytes = await printed(join(site, brief), path);
    const pdf = await read(bytes);
    expect(pdf.pages).toHaveLength(1);
    expect(pdf).toMatchObject({ marked: true, tagged: true, missing: [], drawn: 0, pictures: 0 });
    expect(pdf.fonts).toBeGreaterThan(1);
    expect(bytes.length).toBeLessThan(600_000);
    expect(wanted.length).toBeGreaterThan(4);
    for (const text of wanted) expect(bare(pdf.pages[0]!)).toContain(bare(text));
  });

  const sentence = (letters: number): string =>
    'The rule that waits for the machine to stand up was made for the bench and is too careful by half, as we know. '
      .repeat(5)
      .slice(0, letters - 1)
      .concat('.');

  test.each([
    ['the shortest text', 'usual', 1, 20, 0],
    ['the longest that is set in the usual size', 'usual', 3, 130, 3],
    ['the longest text that a file may have', 'small', 3, SENTENCE_LETTERS, 4],
  ])('with %s', async (_, size, sentences, letters, lines) => {
    const page = await opened(briefs.find((b) => b.includes('one-second')) ?? briefs[0]!);
    await page.emulateMedia({ media: 'print' });
    await page.evaluate(
      ({ size, sentences, text, lines }) => {
        document.body.className = `brief ${size}`;
        const paragraph = (): HTMLElement => Object.assign(document.createElement('p'), { textContent: text });
        document.querySelector('.said')!.replaceChildren(...Array.from({ length: sentences }, paragraph));
        for (const section of document.querySelectorAll('.asks section')) {
          const list = document.createElement('ol');
          for (let i = 0; i < lines; i++) {
            const item = document.createElement('li');
            item.append(paragraph());
            list.append(item);
          }
          section.querySelector('ol, p')!.replaceWith(list);
        }
      },
      { size, sentences, text: sentence(letters), lines },
    );
    expect(await clipped(page)).toEqual([]);
    const pdf = await read(await printedPage(page));
    await page.close();
    expect(pdf.pages).toHaveLength(1);
    const times = bare(pdf.pages[0]!).split(bare(sentence(letters))).length - 1;
    expect(times).toBe(sentences + 2 * lines);
    expect(bare(pdf.pages[0]!)).toContain(bare('does not clear a machine, a rider or a software version to run.'));
  });
});

test('a page prints with running heads, its edition and page numbers, without a picture in it', async () => {
  const bytes = await printed(join(site, 'index.html'), path);
  const pdf = await read(bytes);
  expect(pdf).toMatchObject({ marked: true, tagged: true, missing: [], drawn: 0, pictures: 0 });
  expect(bytes.length).toBeLessThan(2_000_000);
  const { title } = JSON.parse(readFileSync(join(site, 'campaign.json'), 'utf8')) as { title: string };
  pdf.pages.forEach((text, i) => {
    expect(bare(text)).toContain(bare(`${title} · front page`));
    expect(text).toMatch(/data to \d{4}-\d\d-\d\d/);
    expect(bare(text)).toContain(bare('living site, no edition'));
    expect(bare(text)).toContain(`${i + 1}/${pdf.pages.length}`);
  });
});

test('the first printed page of the campaign answers every question that its front page is for', async () => {
  const page = await opened('index.html');
  const wanted = await page.evaluate(() =>
    [
      ...document.querySelectorAll(
        'h1, .answer, .opening .particulars div, #descent figcaption, #remaining tbody td, #remaining tbody th',
      ),
    ].map((e) => e.textContent ?? ''),
  );
  await page.close();
  const [first] = (await read(await printed(join(site, 'index.html'), path))).pages;
  // Opening, four answers, how the gap came down, and five losses of five columns.
  expect(wanted.length).toBe(2 + 4 + 1 + 25);
  for (const text of wanted) expect(bare(first!)).toContain(bare(text));
});

test('the same page gives the same bytes', async () => {
  const [first, second] = [await printed(join(site, briefs[0]!), path), await printed(join(site, briefs[0]!), path)];
  expect(Buffer.compare(Buffer.from(first), Buffer.from(second))).toBe(0);
});

test('a milestone prints as one document whose contents say where each part begins', async () => {
  const bytes = await printedWhole(join(site, milestones[0]!), path);
  const pdf = await read(bytes!);
  expect(pdf).toMatchObject({ marked: true, tagged: true, missing: [], drawn: 0, pictures: 0 });
  const entries = [...pdf.pages[0]!.matchAll(/^(.+)\s+(\d+)$/gm)].map(
    ([, text, page]) => [text!.trim(), Number(page)] as const,
  );
  // The page of contents itself is counted nowhere.
  const named = entries.filter(([text, page]) => page > 1 && !text.endsWith('/'));
  expect(named.length).toBeGreaterThanOrEqual(4);
  for (const [text, page] of named) {
    expect(bare(pdf.pages[page - 1]!), `${text} on page ${page}`).toContain(bare(text));
    // Page numbers begin anew for nobody.
    expect(bare(pdf.pages[page - 1]!)).toContain(`${page}/${pdf.pages.length}`);
  }
  const heads = pdf.pages.map((text) => bare(text.split('data to')[0] ?? ''));
  expect(new Set(heads).size).toBeGreaterThanOrEqual(named.length);
});

test('a page that is no milestone has no whole', async () => {
  expect(await printedWhole(join(site, 'method.html'), path)).toBeNull();
});

test('printed, what could be opened on the screen is open, and no figure is cut by the end of a page', async () => {
  const page = await opened('index.html');
  await page.emulateMedia({ media: 'print' });
  const { closed, splitting } = await page.evaluate(() => ({
    closed: [...document.querySelectorAll('details:not(.data)')].filter(
      (d) => (d.querySelector('table')?.getBoundingClientRect().height ?? 1) === 0,
    ).length,
    splitting: [...document.querySelectorAll('figure')].filter((f) => getComputedStyle(f).breakInside !== 'avoid')
      .length,
  }));
  await page.close();
  expect({ closed, splitting }).toEqual({ closed: 0, splitting: 0 });
});
