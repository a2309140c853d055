import { readFile } from 'node:fs/promises';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { type Effects, sha256 } from '../effects.ts';

const root = fileURLToPath(new URL('../..', import.meta.url));

/** Folders of src that numbers come from; with them the leaves, the packages and the engine. */
const ANALYSIS = [
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
];

/** Hash of everything that computes results. */
export const analysisHash = (effects: Effects): Promise<string> => hashOf(ANALYSIS, effects);

/** Hash of everything that a page is made by, the analysis included. */
export const pagesHash = (effects: Effects): Promise<string> => hashOf([...ANALYSIS, 'report', 'pages'], effects);

async function hashOf(folders: readonly string[], effects: Effects): Promise<string> {
  const src = join(root, 'src');
  const leaves = (await effects.list(src)).flatMap(({ name, folder }) => (folder ? [] : [join(src, name)]));
  const below = await Promise.all(folders.map((folder) => filesBelow(join(src, folder), effects)));
  const own = ['package-lock.json', 'astro.config.mjs'].map((name) => join(root, name));
  const parts = [process.version];
  for (const path of [...leaves, ...below.flat(), ...own])
    parts.push(path.slice(root.length), sha256(await readFile(path)));
  return sha256(parts.join('\n'));
}

/** Every file below a folder, sorted. */
export async function filesBelow(folder: string, effects: Effects): Promise<string[]> {
  const found: string[] = [];
  for (const { name, folder: deeper } of await effects.list(folder)) {
    const path = join(folder, name);
    if (deeper) found.push(...(await filesBelow(path, effects)));
    else found.push(path);
  }
  return found;
}
