import { existsSync, readdirSync, rmSync } from 'node:fs';
import { readdir, readFile, realpath, stat } from 'node:fs/promises';
import { basename, dirname, join, relative, sep } from 'node:path';
import { fileURLToPath } from 'node:url';
import { UsageError } from './command.ts';

const root = fileURLToPath(new URL('../..', import.meta.url));

/** The file by which a site of ours is known; it is the first that a build writes and no build removes it. */
export const MARK = 'campaign.json';

/** A folder of the person or of the tool that a site must stay clear of, and what to call it. */
export interface Taken {
  readonly name: string;
  readonly path: string;
}

/**
 * Makes sure that a folder may be emptied for a site: it is not there, empty, or holds a site of ours, and neither holds
 * nor lies in a folder of inputs.
 *
 * @throws UsageError in words that say what to change
 */
export async function checkOut(out: string, taken: readonly Taken[]): Promise<void> {
  const real = await realOrBelow(out);
  for (const { name, path } of [...taken, { name: 'gapbook itself', path: root }]) {
    const other = await realOrBelow(path);
    // The folder of gapbook may hold the site, as dist; nothing else may.
    if (within(other, real) || (path !== root && within(real, other)))
      throw new UsageError(
        `--out ${out} ${within(other, real) ? 'is or holds' : 'lies in'} the folder of ${name}, and a build empties it; give a folder of its own, such as \`dist\``,
      );
  }
  const kind = await stat(out).catch(() => null);
  if (kind === null) return;
  if (!kind.isDirectory()) throw new UsageError(`--out ${out} is a file; give a folder`);
  const held = (await readdir(out)).filter((name) => name !== '.git');
  if (held.length > 0 && !(await isOurs(out)))
    throw new UsageError(
      `--out ${out} holds files that gapbook did not make (${held.slice(0, 3).join(', ')}${held.length > 3 ? ', …' : ''}), and a build empties it; give an empty folder or a new one`,
    );
}

/**
 * Empties a folder that passed {@link checkOut}; its mark stays, so that a build that breaks off leaves it ours.
 *
 * @param kept files that stay as well, by their path below the folder
 */
export function emptyOut(out: string, kept: Iterable<string> = []): void {
  const stays = new Set([MARK, '.git', ...kept].flatMap((path) => [path, ...foldersOf(path)]));
  const clear = (folder: string): void => {
    for (const entry of readdirSync(join(out, folder), { withFileTypes: true })) {
      const path = join(folder, entry.name);
      if (!stays.has(path)) rmSync(join(out, path), { recursive: true, force: true });
      else if (entry.isDirectory() && path !== '.git') clear(path);
    }
  };
  if (existsSync(out)) clear('');
}

/** Every folder on the way to a path. */
function foldersOf(path: string): string[] {
  const parent = dirname(path);
  return parent === '.' ? [] : [parent, ...foldersOf(parent)];
}

async function isOurs(folder: string): Promise<boolean> {
  try {
    const campaign = JSON.parse(await readFile(join(folder, MARK), 'utf8')) as { tool?: { name?: string } };
    return campaign.tool?.name === 'gapbook';
  } catch {
    return false;
  }
}

const within = (path: string, folder: string): boolean => {
  const way = relative(folder, path);
  return way === '' || (way !== '..' && !way.startsWith(`..${sep}`));
};

/** A path with its links resolved, also where its last parts are not there yet. */
async function realOrBelow(path: string): Promise<string> {
  try {
    return await realpath(path);
  } catch {
    const parent = dirname(path);
    return parent === path ? path : join(await realOrBelow(parent), basename(path));
  }
}
