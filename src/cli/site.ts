import { copyFile, mkdir } from 'node:fs/promises';
import { dirname, join } from 'node:path';
import { fileURLToPath } from 'node:url';
import type { AstroIntegration } from 'astro';
import { carryEditions } from '../archive/carryEditions.ts';
import type { FoundEdition } from '../archive/editionsIn.ts';
import { type Effects, sha256 } from '../effects.ts';
import { handOver } from '../pages/_parts/results.ts';
import { FontsOf } from '../report/fonts.ts';
import { frontPath } from '../report/paths.ts';
import { gzipped } from '../report/tables/gzipped.ts';
import { fileGroups, isResult } from '../report/tables/siteFiles.ts';
import { filesBelow, pagesHash } from './codeHash.ts';
import type { KeptPages } from './keptPages.ts';
import { emptyOut, MARK } from './outFolder.ts';
import { Rendered, type SiteSize } from './rendered.ts';
import type { Written } from './resultsFolder.ts';

/** What pages share. */
const STYLE_AND_SCRIPT = ['style.css', 'script.js'];

const root = fileURLToPath(new URL('../..', import.meta.url));

/**
 * Renders the pages of results into `out` and puts the tables, results and fonts beside them; leaves a site alone that
 * stands there already, and of another one the files that would be written again as they are.
 *
 * @param editions whose reports the site carries, as they were published
 * @param cache where pages are kept that need not be rendered again
 * @param kept takes over what renders pages, so that single ones can be rendered again; then all of them are looked at
 */
export async function renderSite(
  results: Written,
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
  effects.progress('rendering pages');
  const frozen = results.campaign.edition !== null;
  const groups = fileGroups(results).map(({ key: of, files }) => ({
    key: of && sha256(`${code} ${frozen} ${of}`),
    files,
  }));
  const before = await rendered.standing(out);
  const stands = new Map(
    groups.flatMap(({ key: of }) => {
      const paths = of && before.groups.get(of);
      return paths ? [[of, paths]] : [];
    }),
  );
  await rendered.forget();
  // Without its front page nobody takes a site for whole whose build breaks off.
  emptyOut(out, [...stands.values(), before.pages.filter((path) => path !== frontPath)].flat());
  await effects.write(join(out, MARK), await effects.text(join(results.folder, MARK)));
  const pages = await renderPages(results, out, join(cache, 'pages'), code, effects, kept);
  // Pages that are no more.
  emptyOut(out, [...stands.values(), pages, STYLE_AND_SCRIPT].flat());
  for (const { key: of, files } of groups) {
    if (of && stands.has(of)) continue;
    const paths: string[] = [];
    for (const [path, text] of files()) {
      const packed = frozen && isResult(path);
      paths.push(packed ? `${path}.gz` : path);
      await effects.write(join(out, paths.at(-1)!), packed ? gzipped(text) : text);
    }
    if (of) stands.set(of, paths);
  }
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
  return rendered.note(out, key, stands);
}

/** Renders those pages of a site that do not stand there yet as they have to be; returns the paths of all. */
async function renderPages(
  results: Written,
  out: string,
  cache: string,
  code: string,
  effects: Effects,
  kept: KeptPages | null,
): Promise<readonly string[]> {
  // Kept pages are listed at the end of a build alone. Those of one that broke off are of unknown age.
  const unfinished = join(cache, 'unfinished');
  if (await effects.exists(unfinished)) await effects.remove(cache);
  await effects.write(unfinished, '');
  handOver(results);
  // Astro reads its settings from the environment, and so do pages what they share with them.
  process.env['GAPBOOK_OUT'] = out;
  process.env['GAPBOOK_PAGES'] = cache;
  process.env['GAPBOOK_CODE'] = code;
  process.env['ASTRO_TELEMETRY_DISABLED'] = '1';
  process.env['NODE_ENV'] ??= 'production';
  const { build } = await import('astro');
  let paths: readonly string[] = [];
  const listing: AstroIntegration = {
    name: 'list of pages',
    hooks: {
      'astro:build:done': ({ pages }) => {
        paths = pages.map(({ pathname }) => `${pathname || 'index'}.html`);
      },
    },
  };
  // The bundle goes below the working folder, and finds its packages only if that is ours.
  const before = process.cwd();
  process.chdir(root);
  try {
    await build({ root, logLevel: 'error', integrations: [listing, ...(kept ? [kept.integration()] : [])] });
  } finally {
    process.chdir(before);
  }
  await effects.remove(unfinished);
  return paths;
}
