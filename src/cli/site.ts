import { copyFile, mkdir, readdir, stat } from 'node:fs/promises';
import { dirname, join } from 'node:path';
import { fileURLToPath } from 'node:url';
import type { Effects } from '../effects.ts';
import { fontFiles } from '../report/fonts.ts';
import { siteFiles } from '../report/tables/siteFiles.ts';

const root = fileURLToPath(new URL('../..', import.meta.url));

/** Renders the pages of a results folder into `out` and puts the tables, results and fonts beside them. */
export async function renderSite(
  results: string,
  out: string,
  effects: Effects,
): Promise<{ pages: number; files: number; bytes: number }> {
  // Astro reads its settings and the pages their data from the environment: in a build, pages run from a bundle.
  process.env['GAPBOOK_RESULTS'] = results;
  process.env['GAPBOOK_OUT'] = out;
  process.env['ASTRO_TELEMETRY_DISABLED'] = '1';
  process.env['NODE_ENV'] ??= 'production';
  const { build } = await import('astro');
  await build({ root, logLevel: 'error' });
  for (const [path, text] of await siteFiles(results)) await effects.write(join(out, path), text);
  for (const { from, to } of fontFiles()) {
    await mkdir(dirname(join(out, to)), { recursive: true });
    await copyFile(from, join(out, to));
  }
  const entries = await readdir(out, { recursive: true, withFileTypes: true });
  let bytes = 0;
  let pages = 0;
  let files = 0;
  for (const entry of entries) {
    if (!entry.isFile()) continue;
    bytes += (await stat(join(entry.parentPath, entry.name))).size;
    if (entry.name.endsWith('.html')) pages++;
    else files++;
  }
  return { pages, files, bytes };
}
