import { readFile } from 'node:fs/promises';
import { join } from 'node:path';
import type { Effects } from '../effects.ts';
import { filesOf } from './filesOf.ts';
import { tarball } from './tarball.ts';

/** Beside `src`, what a copy of the tool is installed and built from. */
const BESIDE = [
  '.npmrc',
  'DEVELOPERS.md',
  'LICENSE',
  'README.md',
  'astro.config.mjs',
  'package-lock.json',
  'package.json',
  'tsconfig.json',
] as const;

/**
 * The tool's own source and lock file as a packed tar archive with one folder in it.
 *
 * @param root folder of the tool
 * @param name of the folder in the archive
 */
export async function toolSource(root: string, name: string, effects: Effects): Promise<Uint8Array> {
  const { files } = await filesOf(join(root, 'src'), effects);
  const paths = [...BESIDE, ...files.map((path) => `src/${path}`)];
  const read: [string, Uint8Array][] = [];
  for (const path of paths)
    if (await effects.exists(join(root, path))) read.push([`${name}/${path}`, await readFile(join(root, path))]);
  return tarball(read);
}
