import { existsSync } from 'node:fs';
import { expect, test } from 'vitest';
import { fontFaces, fontFiles } from '../../src/report/fonts.ts';

async function* texts(...list: string[]): AsyncGenerator<string> {
  yield* list;
}
const faces = async (...list: string[]): Promise<string[]> =>
  (await fontFiles(texts(...list))).flatMap(({ to }) => (to.endsWith('.woff2') ? [to] : []));

// Blocks by the Unicode charts: š is U+0161 of Latin Extended-A, κ U+03BA of Greek; − U+2212 is in neither.
test('a site has the faces whose letters are on its pages, in every weight', async () => {
  const latin = await faces('Lap 3', 'gained −0.2 s');
  expect(latin).toEqual([
    ...[400, 500, 600].map((weight) => `fonts/source-serif-4-latin-${weight}-normal.woff2`),
    'fonts/source-serif-4-latin-400-italic.woff2',
    ...[400, 600].map((weight) => `fonts/inter-latin-${weight}-normal.woff2`),
  ]);
  const besides = async (text: string): Promise<string[]> =>
    (await faces('Lap 3', text)).filter((path) => !latin.includes(path));
  expect(await besides('at the Tišnov bend')).toEqual(latin.map((path) => path.replace('latin', 'latin-ext')));
  expect(await besides('a turn of κ')).toEqual(latin.map((path) => path.replace('latin', 'greek')));
});

test('every face that the style sheet names is a file of its package, with its licence', async () => {
  const all = await fontFiles(texts('Ašκ'));
  for (const [, name] of fontFaces().matchAll(/url\((fonts\/[^)]*)\)/g))
    expect(all.map(({ to }) => to)).toContain(name);
  for (const { from } of all) expect(existsSync(from), from).toBe(true);
  expect(all.filter(({ to }) => to.endsWith('-licence.txt'))).toHaveLength(2);
});
