import { join } from 'node:path';
import type { Effects } from '../effects.ts';
import type { BagInfo } from './bagInfo.ts';
import { filesOf } from './filesOf.ts';
import { sealBag } from './sealBag.ts';

/** An edition that was published. */
export interface Published {
  readonly folder: string;
  readonly number: number;
  readonly fingerprint: string;
}

const UNFINISHED = '.unfinished-';

/** Numbers of a milestone's editions, in order. Anything else in the folder is none. */
export async function editionNumbers(home: string, effects: Effects): Promise<number[]> {
  const entries = await effects.list(home);
  return entries
    .flatMap(({ name, folder }) => (folder && /^[1-9]\d*$/.test(name) ? [Number(name)] : []))
    .sort((a, b) => a - b);
}

/**
 * Writes the next edition of a milestone: beside its place, down to the disk, and then to its place at once. Whatever
 * happens on the way there is the whole edition or none, and no earlier one is touched. One process at a time.
 *
 * @param home folder of the milestone's editions
 * @param make fills the folder `data` of a bag and says what bag-info.txt is to hold
 */
export async function publishEdition(
  home: string,
  make: (bag: string, number: number) => Promise<BagInfo>,
  effects: Effects,
): Promise<Published> {
  // What a process that was ended left behind is of no use to anybody.
  for (const { name } of await effects.list(home))
    if (name.startsWith(UNFINISHED)) await effects.remove(join(home, name));
  const number = ((await editionNumbers(home, effects)).at(-1) ?? 0) + 1;
  const unfinished = join(home, `${UNFINISHED}${number}`);
  const folder = join(home, String(number));
  try {
    const info = await make(unfinished, number);
    const fingerprint = await sealBag(unfinished, info, effects);
    await settleAll(unfinished, effects);
    await effects.move(unfinished, folder);
    await effects.settle(home);
    return { folder, number, fingerprint };
  } catch (error) {
    await effects.remove(unfinished).catch(() => {});
    throw error;
  }
}

async function settleAll(folder: string, effects: Effects): Promise<void> {
  const { files } = await filesOf(folder, effects);
  const folders = new Set(['']);
  for (const path of files) {
    effects.progress(`to the disk: ${path}`);
    await effects.settle(join(folder, path));
    for (let at = path.lastIndexOf('/'); at > 0; at = path.lastIndexOf('/', at - 1)) folders.add(path.slice(0, at));
  }
  for (const below of [...folders].sort()) await effects.settle(join(folder, below));
}
