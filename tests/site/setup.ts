import { spawnSync } from 'node:child_process';
import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import chromium from '@sparticuz/chromium';
import type { TestProject } from 'vitest/node';

declare module 'vitest' {
  interface ProvidedContext {
    /** Folder of the built demo site. */
    site: string;
    /** The browser's program. */
    browser: string;
  }
}

/**
 * Builds the demo site as a user would and unpacks the browser, once for all tests of the site (unpacking in parallel
 * breaks). GAPBOOK_SITE names a site that is built already.
 */
export default async function setup(project: TestProject): Promise<() => void> {
  const ready = process.env['GAPBOOK_SITE'];
  const folder = ready ?? mkdtempSync(join(tmpdir(), 'gapbook-site-'));
  if (!ready) {
    const root = fileURLToPath(new URL('../..', import.meta.url));
    const built = spawnSync(process.execPath, ['src/cli/gapbook.mjs', 'build', '--out', folder], {
      cwd: root,
      encoding: 'utf8',
      env: { ...process.env, ASTRO_TELEMETRY_DISABLED: '1', NODE_ENV: 'production' },
    });
    if (built.status !== 0)
      throw new Error(`The demo site was not built (status ${built.status}):\n${built.stdout}\n${built.stderr}`);
  }
  project.provide('site', folder);
  project.provide('browser', await chromium.executablePath());
  return () => {
    if (!ready) rmSync(folder, { recursive: true, force: true });
  };
}
