import { join } from 'node:path';
import type { Effects } from '../effects.ts';

/** What a folder holds, as paths below it with `/`, sorted. A link is named and never followed. */
export interface Held {
  readonly files: readonly string[];
  readonly links: readonly string[];
}

/** Every file and every link below a folder. */
export async function filesOf(folder: string, effects: Effects): Promise<Held> {
  const files: string[] = [];
  const links: string[] = [];
  const walk = async (below: string): Promise<void> => {
    for (const { name, folder: deeper, link } of await effects.list(join(folder, below))) {
      const path = below === '' ? name : `${below}/${name}`;
      if (link) links.push(path);
      else if (deeper) await walk(path);
      else files.push(path);
    }
  };
  await walk('');
  return { files: files.sort(), links: links.sort() };
}
