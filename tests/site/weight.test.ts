import { statSync } from 'node:fs';
import { join } from 'node:path';
import { expect, inject, test } from 'vitest';
import { filesBelow } from './siteFolder.ts';

/** What the demo's site may weigh, with all that it carries. */
const MOST_BYTES = 40e6;

test('the demo’s site is light enough to be handed round, editions and all', () => {
  const site = inject('site');
  const files = filesBelow(site);
  expect(files.some((path) => path.startsWith('editions/'))).toBe(true);
  expect(files.reduce((sum, path) => sum + statSync(join(site, path)).size, 0)).toBeLessThan(MOST_BYTES);
});
