// What a command needs, in a few files instead of hundreds: most of a short command's time goes into finding and linking
// modules. `ready.mjs` packs the sources; the pack is run for as long as it is of exactly the sources that lie there, and
// otherwise the sources themselves are. Plain JavaScript for any Node from 20 on.
import { createHash } from 'node:crypto';
import { readFileSync, renameSync, rmSync, writeFileSync } from 'node:fs';
import { basename, dirname, join } from 'node:path';
import { fileURLToPath } from 'node:url';

const SELF = fileURLToPath(import.meta.url);
const ROOT = join(dirname(SELF), '..', '..');

/** Packages that look for files of their own, or that are asked for late, when another pack may lie there. */
const APART = ['astro', 'esbuild', 'playwright-core', '@sparticuz/chromium', 'fast-xml-parser'];

/** Two folders below the root, as the files of `src/cli` are, so that their paths to the root stay true. */
const folderOf = (entry, root) => join(root, 'node_modules', `.gapbook-${basename(entry, '.ts')}`);

/**
 * The packed form of a program, or null where there is none of the sources as they are.
 *
 * @param {string} entry from the root, such as `src/cli/main.ts`
 */
export function packed(entry, root = ROOT) {
  const folder = folderOf(entry, root);
  try {
    const { inputs, hash } = JSON.parse(readFileSync(join(folder, 'sources.json'), 'utf8'));
    return hash === hashOf(inputs, root) ? join(folder, basename(entry).replace(/ts$/, 'js')) : null;
  } catch {
    return null;
  }
}

/**
 * Packs a program with all that it imports, unless that is done already.
 *
 * @param {string} entry from the root
 */
export async function pack(entry, root = ROOT) {
  if (packed(entry, root)) return;
  const { build } = await import('esbuild');
  const folder = folderOf(entry, root);
  const unfinished = `${folder}.${process.pid}`;
  const { metafile } = await build({
    absWorkingDir: root,
    entryPoints: [entry],
    outdir: unfinished,
    bundle: true,
    splitting: true,
    format: 'esm',
    platform: 'node',
    target: 'node22',
    external: APART,
    metafile: true,
    logLevel: 'silent',
    // Packages of the older kind ask for modules of Node by `require`.
    banner: { js: "import { createRequire as forFile } from 'node:module'; const require = forFile(import.meta.url);" },
  });
  const own = Object.keys(metafile.inputs).filter((path) => !path.startsWith('node_modules/'));
  const inputs = [...own, 'package-lock.json'].sort();
  writeFileSync(join(unfinished, 'package.json'), '{"type":"module"}');
  writeFileSync(join(unfinished, 'sources.json'), JSON.stringify({ inputs, hash: hashOf(inputs, root) }));
  rmSync(folder, { recursive: true, force: true });
  renameSync(unfinished, folder);
}

/** Of the sources and of how they are packed. */
function hashOf(paths, root) {
  const hash = createHash('sha256').update(readFileSync(SELF));
  for (const path of paths) hash.update(path).update(readFileSync(join(root, path)));
  return hash.digest('hex');
}
