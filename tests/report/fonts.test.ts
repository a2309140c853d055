import { existsSync } from 'node:fs';
import { expect, test } from 'vitest';
import { FontsOf, fontFaces } from '../../src/report/fonts.ts';

const files = (...texts: string[]): ReturnType<FontsOf['files']> => {
  const fonts = new FontsOf();
  for (const text of texts) fonts.read(text);
  return fonts.files();
};
const faces = (...texts: string[]): string[] =>
  files(...texts).flatMap(({ to }) => (to.endsWith('.woff2') ? [to] : []));

// Blocks by the Unicode charts: š is U+0161 of Latin Extended-A, κ U+03BA of Greek; − U+2212 is in neither.
test('a site has the faces whose letters are on its pages, in every weight', () => {
  const latin = faces('Lap 3', 'gained −0.2 s');
  expect(latin).toEqual([
    ...[400, 500, 600].map((weight) => `fonts/source-serif-4-latin-${weight}-normal.woff2`),
    'fonts/source-serif-4-latin-400-italic.woff2',
    ...[400, 600].map((weight) => `fonts/inter-latin-${weight}-normal.woff2`),
  ]);
  const besides = (text: string): string[] => faces('Lap 3', text).filter((path) => !latin.includes(path));
  expect(besides('at the Tišnov bend')).toEqual(latin.map((path) => path.replace('latin', 'latin-ext')));
  expect(besides('a turn of κ')).toEqual(latin.map((path) => path.replace('latin', 'greek')));
});

test('every face that the style sheet names is a file of its package, with its licence', () => {
  const all = files('Ašκ');
  for (const [, name] of fontFaces().matchAll(/url\((fonts\/[^)]*)\)/g))
    expect(all.map(({ to }) => to)).toContain(name);
  for (const { from } of all) expect(existsSync(from), from).toBe(true);
  expect(all.filter(({ to }) => to.endsWith('-licence.txt'))).toHaveLength(2);
});
