import { readFileSync, statSync } from 'node:fs';
import { join } from 'node:path';
import { parseHTML } from 'linkedom';
import { describe, expect, inject, test } from 'vitest';
import { filesBelow, pagesOf } from './siteFolder.ts';

// Checked by resolving references as a browser does (WHATWG URL) against what lies in the folder.
const site = inject('site');
const files = new Set(filesBelow(site));
const pages = pagesOf(site);
const documents = new Map(pages.map((page) => [page, parseHTML(readFileSync(join(site, page), 'utf8')).document]));

describe('the references of a page', () => {
  test.each(pages)('%s lead to files and places that exist', (page) => {
    const broken: string[] = [];
    for (const element of documents.get(page)!.querySelectorAll('[href], [src]')) {
      const reference = element.getAttribute('href') ?? element.getAttribute('src') ?? '';
      if (reference.startsWith('data:')) continue;
      const url = new URL(reference, new URL(encodeURI(page), 'file:///'));
      if (url.protocol !== 'file:') {
        // Only a note of the engineer may lead elsewhere, and only by a link.
        if (element.localName !== 'a' || !element.closest('.prose')) broken.push(reference);
        continue;
      }
      const path = decodeURIComponent(url.pathname).slice(1);
      if (!files.has(path)) broken.push(reference);
      else if (url.hash && path.endsWith('.html')) {
        const id = decodeURIComponent(url.hash.slice(1));
        if (!documents.get(path)?.getElementById(id)) broken.push(reference);
      }
    }
    expect(broken).toEqual([]);
  });
});

describe('the markup of a page', () => {
  test.each(pages)('%s has unique ids, one first heading, levels in order and a title of its own', (page) => {
    const document = documents.get(page)!;
    const ids = [...document.querySelectorAll('[id]')].map((e) => e.getAttribute('id'));
    expect(ids.filter((id, i) => ids.indexOf(id) !== i)).toEqual([]);
    const levels = [...document.querySelectorAll('h1, h2, h3, h4, h5, h6')].map((h) => Number(h.localName.slice(1)));
    expect(levels.filter((l) => l === 1)).toHaveLength(1);
    expect(levels.filter((level, i) => i > 0 && level - levels[i - 1]! > 1)).toEqual([]);
    expect(document.documentElement.getAttribute('lang')).toBe('en');
    const title = document.querySelector('head > title')?.textContent ?? '';
    expect(title.length).toBeGreaterThan(3);
    expect(pages.filter((other) => documents.get(other)!.querySelector('head > title')?.textContent === title)).toEqual(
      [page],
    );
  });

  test.each(pages)('%s gives every figure a number, a finding, its data and a file of them', (page) => {
    for (const figure of documents.get(page)!.querySelectorAll('figure')) {
      expect(figure.querySelector('figcaption strong')?.textContent).toMatch(/^Figure \d+\. /);
      expect(figure.querySelector('figcaption')?.textContent).toMatch(/\d/);
      // Data that stand on the page already are led to.
      const below = figure.nextElementSibling;
      const data = below?.matches('p.data')
        ? documents.get(page)!.querySelector(below.querySelector('a')!.getAttribute('href')!)
        : below;
      expect(data?.querySelectorAll('table tbody tr').length).toBeGreaterThan(0);
      expect(data?.querySelector('a[href$=".csv"]')).not.toBeNull();
      for (const svg of figure.querySelectorAll('svg')) {
        expect(svg.getAttribute('role')).toBe('img');
        expect(svg.getAttribute('aria-label')?.length).toBeGreaterThan(20);
        expect(svg.querySelector('[aria-label]')).toBeNull();
        // A number that could not be drawn shows in the markup.
        expect(svg.outerHTML).not.toMatch(/NaN|Infinity|undefined/);
      }
    }
  });

  test.each(pages)('%s gives the rows of every table as CSV and as JSON', (page) => {
    for (const table of documents.get(page)!.querySelectorAll('.table')) {
      const forms = [...table.querySelectorAll('.links a')].map((link) => link.getAttribute('href')!);
      const stem = (ending: string): string | undefined =>
        forms.find((href) => href.endsWith(ending))?.slice(0, -ending.length);
      expect(stem('.csv'), table.id).toBeDefined();
      expect(stem('.json'), table.id).toBe(stem('.csv'));
    }
  });

  test.each(pages)('%s writes no number that is none', (page) => {
    expect(documents.get(page)!.querySelector('main')!.textContent).not.toMatch(
      /\bNaN\b|\bInfinity\b|\bundefined\b|\bnull\b|\[object/,
    );
  });

  test.each(pages)('%s has the site’s own classic scripts alone and weighs at most 400 kB', (page) => {
    const scripts = [...documents.get(page)!.querySelectorAll('script')];
    expect(scripts.filter((script) => script.getAttribute('type') === 'module')).toEqual([]);
    expect(scripts.filter((script) => script.hasAttribute('src'))).toHaveLength(1);
    expect(documents.get(page)!.querySelector('main script')).toBeNull();
    expect(statSync(join(site, page)).size).toBeLessThanOrEqual(400_000);
  });
});
