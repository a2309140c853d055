import { expect, test } from 'vitest';
import { carryEditions } from '../../src/archive/carryEditions.ts';
import type { EditionRecord } from '../../src/campaign/editions.ts';
import { memory } from '../campaign/memory.ts';

test('a report is carried as it was published, with its checksum lists beside it and nothing else of the edition', async () => {
  const effects = memory({
    'e/first/1/tagmanifest-sha512.txt': 'tags',
    'e/first/1/manifest-sha512.txt': 'payload',
    'e/first/1/data/site/index.html': '<p>',
    'e/first/1/data/site/laps/a.html': '<p>a',
    'e/first/1/data/inputs/sessions/a/run.csv': '1,2',
  });
  const record = { milestone: 'first', number: 1 } as EditionRecord;
  await carryEditions([{ folder: 'e/first/1', record }], 'out', effects);
  const carried = [...effects.files].filter(([path]) => path.startsWith('out/')).sort();
  expect(carried).toEqual([
    ['out/editions/first/1-checksums/manifest-sha512.txt', 'payload'],
    ['out/editions/first/1-checksums/tagmanifest-sha512.txt', 'tags'],
    ['out/editions/first/1/index.html', '<p>'],
    ['out/editions/first/1/laps/a.html', '<p>a'],
  ]);
});
