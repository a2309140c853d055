import { copyFile, mkdir } from 'node:fs/promises';
import { dirname, join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { carryEditions } from '../archive/carryEditions.ts';
import type { FoundEdition } from '../archive/editionsIn.ts';
import type { CampaignResult } from '../campaign/results.ts';
import { type Effects, sha256 } from '../effects.ts';
import { FontsOf } from '../report/fonts.ts';
import { gzipped } from '../report/tables/gzipped.ts';
import { isResult, siteFiles } from '../report/tables/siteFiles.ts';
import { filesBelow, pagesHash } from './codeHash.ts';
import type { KeptPages } from './keptPages.ts';
import { emptyOut, MARK } from './outFolder.ts';
import { Rendered, type SiteSize } from './rendered.ts';

const root = fileURLToPath(new URL('../..', import.meta.url));

/**
 * Renders the pages of a results folder into `out` and puts the tables, results and fonts beside them; leaves a site
 * alone that stands there already.
 *
 * @param results folder, and a hash of all it holds
 * @param editions whose reports the site carries, as they were published
 * @param cache where pages are kept that need not be rendered again
 * @param kept takes over what renders pages, so that single ones can be rendered again; then all of them are looked at
 */
export async function renderSite(
  results: { readonly folder: string; readonly hash: string },
  out: string,
  cache: string,
  effects: Effects,
  editions: readonly FoundEdition[] = [],
  kept: KeptPages | null = null,
): Promise<SiteSize> {
  const code = await pagesHash(effects);
  const key = sha256(`${code}\n${results.hash}`);
  const rendered = new Rendered(join(cache, 'rendered.json'), effects);
  const standing = await rendered.stands(out, key);
  if (standing && !kept) return standing;
  await rendered.forget();
  effects.progress('rendering pages');
  await emptyOut(out);
  const campaign = await effects.text(join(results.folder, MARK));
  await effects.write(join(out, MARK), campaign);
  await renderPages(results.folder, out, join(cache, 'pages'), code, effects, kept);
  const frozen = (JSON.parse(campaign) as CampaignResult).edition !== null;
  for (const [path, text] of siteFiles(results.folder))
    if (frozen && isResult(path)) await effects.write(join(out, `${path}.gz`), gzipped(text));
    else await effects.write(join(out, path), text);
  // Nothing is ever built into the folder of an edition again.
  if (frozen) await effects.remove(join(out, MARK));
  const fonts = new FontsOf();
  // What a browser shows letters of: pages, their style sheet and their script.
  for (const path of await filesBelow(out, effects))
    if (/\.(html|css|js)$/.test(path)) fonts.read(await effects.text(path));
  for (const { from, to } of fonts.files()) {
    await mkdir(dirname(join(out, to)), { recursive: true });
    await copyFile(from, join(out, to));
  }
  await carryEditions(editions, out, effects);
  return rendered.note(out, key);
}

async function renderPages(
  results: string,
  out: string,
  cache: string,
  code: string,
  effects: Effects,
  kept: KeptPages | null,
): Promise<void> {
  // Kept pages are listed at the end of a build alone. Those of one that broke off are of unknown age.
  const unfinished = join(cache, 'unfinished');
  if (await effects.exists(unfinished)) await effects.remove(cache);
  await effects.write(unfinished, '');
  // Astro reads its settings and the pages their data from the environment: in a build, pages run from a bundle.
  process.env['GAPBOOK_RESULTS'] = results;
  process.env['GAPBOOK_OUT'] = out;
  process.env['GAPBOOK_PAGES'] = cache;
  process.env['GAPBOOK_CODE'] = code;
  process.env['ASTRO_TELEMETRY_DISABLED'] = '1';
  process.env['NODE_ENV'] ??= 'production';
  const { build } = await import('astro');
  // The bundle goes below the working folder, and finds its packages only if that is ours.
  const before = process.cwd();
  process.chdir(root);
  try {
    await build({ root, logLevel: 'error', ...(kept ? { integrations: [kept.integration()] } : {}) });
  } finally {
    process.chdir(before);
  }
  await effects.remove(unfinished);
}
