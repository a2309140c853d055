import { readdirSync, readFileSync } from 'node:fs';
import { dirname, relative, resolve } from 'node:path';
import { fileURLToPath } from 'node:url';
import { expect, test } from 'vitest';

const src = fileURLToPath(new URL('../src', import.meta.url));
/** Data flows down this list; a file imports from its own folder, from folders above it, or from the leaves. */
const ORDER = [
  'numbers',
  'read',
  'circuit',
  'laps',
  'align',
  'gap',
  'technique',
  'causes',
  'statistics',
  'campaign',
  'report',
  'pages',
  'archive',
  'cli',
];

const files = readdirSync(src, { recursive: true, encoding: 'utf8' })
  .filter((file) => /\.(ts|mjs|astro)$/.test(file))
  .sort();

function imports(file: string): string[] {
  const text = readFileSync(resolve(src, file), 'utf8');
  return [...text.matchAll(/(?:from|import)\s*\(?\s*'(\.[^']+)'/g)].map((match) =>
    relative(src, resolve(src, dirname(file), match[1]!)).replaceAll('\\', '/'),
  );
}

const folder = (file: string): string => (file.includes('/') ? file.split('/')[0]! : '');

test('a file imports only from its own folder, from folders above it, or from the leaves', () => {
  const wrong = files.flatMap((file) =>
    imports(file).flatMap((target) => {
      const [own, other] = [ORDER.indexOf(folder(file)), ORDER.indexOf(folder(target))];
      // A leaf imports leaves only; astro pages may not be imported by the report.
      return other > own ? [`${file} imports ${target}`] : [];
    }),
  );
  expect(wrong).toEqual([]);
});

test('every folder of src is in the list', () => {
  expect([...new Set(files.map(folder))].filter((name) => name !== '' && !ORDER.includes(name))).toEqual([]);
});

test('only archive and cli start Astro, and only report/tables reads campaign tables with danfo', () => {
  const starts = files.filter((file) =>
    /import\('astro'\)|import (?!type).* from 'astro'/.test(readFileSync(resolve(src, file), 'utf8')),
  );
  expect(starts.filter((file) => !['cli', 'archive'].includes(folder(file)))).toEqual([]);
  const tables = files.filter((file) => readFileSync(resolve(src, file), 'utf8').includes("'danfojs-node"));
  expect(tables.filter((file) => !file.startsWith('report/tables/'))).toEqual([]);
});
