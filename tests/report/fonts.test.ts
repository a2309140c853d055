import { existsSync } from 'node:fs';
import { expect, test } from 'vitest';
import { fontFaces, fontFiles } from '../../src/report/fonts.ts';

async function* texts(...list: string[]): AsyncGenerator<string> {
  yield* list;
}
const faces = async (...list: string[]): Promise<string[]> =>
  (await fontFiles(texts(...list))).flatMap(({ to }) => (to.endsWith('.woff2') ? [to] : []));

// Blocks by the Unicode charts: š is U+0161 of Latin Extended-A, κ U+03BA of Greek; − U+2212 is in neither.
test('a site has the faces whose letters are on its pages', async () => {
  const latin = await faces('Lap 3', 'gained −0.2 s');
  expect(latin).toEqual([
    'fonts/source-serif-4-latin-400-normal.woff2',
    'fonts/source-serif-4-latin-500-normal.woff2',
    'fonts/source-serif-4-latin-600-normal.woff2',
    'fonts/source-serif-4-latin-400-italic.woff2',
    'fonts/inter-latin-400-normal.woff2',
    'fonts/inter-latin-600-normal.woff2',
  ]);
  expect((await faces('Lap 3', 'at the Tišnov bend')).filter((path) => !latin.includes(path))).toEqual([
    'fonts/source-serif-4-latin-ext-400-normal.woff2',
    'fonts/source-serif-4-latin-ext-500-normal.woff2',
    'fonts/source-serif-4-latin-ext-600-normal.woff2',
    'fonts/source-serif-4-latin-ext-400-italic.woff2',
    'fonts/inter-latin-ext-400-normal.woff2',
    'fonts/inter-latin-ext-600-normal.woff2',
  ]);
  expect((await faces('Lap 3', 'a turn of κ')).filter((path) => !latin.includes(path))).toEqual([
    'fonts/source-serif-4-greek-400-normal.woff2',
    'fonts/source-serif-4-greek-500-normal.woff2',
    'fonts/source-serif-4-greek-600-normal.woff2',
    'fonts/source-serif-4-greek-400-italic.woff2',
    'fonts/inter-greek-400-normal.woff2',
    'fonts/inter-greek-600-normal.woff2',
  ]);
});

test('every face that the style sheet names is a file of its package, with its licence', async () => {
  const all = await fontFiles(texts('Ašκ'));
  for (const [, name] of fontFaces().matchAll(/url\((fonts\/[^)]*)\)/g))
    expect(all.map(({ to }) => to)).toContain(name);
  for (const { from } of all) expect(existsSync(from), from).toBe(true);
  expect(all.filter(({ to }) => to.endsWith('-licence.txt'))).toHaveLength(2);
});
