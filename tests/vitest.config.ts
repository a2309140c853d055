/// <reference types="vitest/config" />
import { fileURLToPath } from 'node:url';
import { getViteConfig } from 'astro/config';

const full = process.env['GAPBOOK_FULL'] === '1';
const setup = fileURLToPath(new URL('./site/setup.ts', import.meta.url));
const reporter = fileURLToPath(new URL('./summaryReporter.ts', import.meta.url));

export default getViteConfig({
  test: {
    root: fileURLToPath(new URL('..', import.meta.url)),
    reporters: ['default', reporter],
    maxWorkers: 2,
    testTimeout: full ? 300_000 : 60_000,
    hookTimeout: 180_000,
    projects: [
      {
        extends: true,
        test: { name: 'code', include: ['tests/**/*.test.ts'], exclude: ['tests/site/**'] },
      },
      {
        // The setup builds the demo site and unpacks the browser, once, and only where one of these tests runs.
        extends: true,
        test: { name: 'site', include: ['tests/site/**/*.test.ts'], globalSetup: [setup] },
      },
    ],
  },
});
