import { readdir, stat } from 'node:fs/promises';
import { join, relative, sep } from 'node:path';
import type { Effects } from '../effects.ts';

/** Sizes of a finished site. */
export interface SiteSize {
  readonly pages: number;
  readonly files: number;
  readonly bytes: number;
  /** Of the editions that the site carries, which the others don't count. */
  readonly carriedBytes: number;
}

interface Note extends SiteSize {
  readonly out: string;
  /** Of everything the site was made from. */
  readonly key: string;
  /** Path below the site -> what tells whether the file is still the one that was written. */
  readonly seen: Readonly<Record<string, string>>;
}

/** A note of the last site that was rendered, by which a build knows that there is nothing to render. */
export class Rendered {
  readonly #path: string;
  readonly #effects: Effects;

  /** @param path where the note is kept */
  constructor(path: string, effects: Effects) {
    this.#path = path;
    this.#effects = effects;
  }

  /** The site's size if it stands in `out`, file by file, as it was rendered from what the key says; else null. */
  async stands(out: string, key: string): Promise<SiteSize | null> {
    const note = await this.#noted();
    if (note?.out !== out || note.key !== key) return null;
    const { seen } = await look(out);
    const paths = Object.keys(seen);
    const same =
      paths.length === Object.keys(note.seen).length && paths.every((path) => seen[path] === note.seen[path]);
    return same ? note : null;
  }

  async #noted(): Promise<Note | null> {
    try {
      return JSON.parse(await this.#effects.text(this.#path)) as Note;
    } catch {
      return null;
    }
  }

  forget(): Promise<void> {
    return this.#effects.remove(this.#path);
  }

  /** Looks at a site that has just been rendered, and notes it. */
  async note(out: string, key: string): Promise<SiteSize> {
    const note: Note = { out, key, ...(await look(out)) };
    await this.#effects.write(this.#path, `${JSON.stringify(note)}\n`);
    return note;
  }
}

async function look(out: string): Promise<Omit<Note, 'out' | 'key'>> {
  const seen: Record<string, string> = {};
  let bytes = 0;
  let carriedBytes = 0;
  let pages = 0;
  let files = 0;
  for (const entry of await readdir(out, { recursive: true, withFileTypes: true }).catch(() => [])) {
    if (entry.isDirectory()) continue;
    const path = join(entry.parentPath, entry.name);
    const { size, mtimeNs, ctimeNs, ino } = await stat(path, { bigint: true });
    const below = relative(out, path);
    seen[below] = [size, mtimeNs, ctimeNs, ino].join(' ');
    if (below.startsWith(`editions${sep}`)) {
      carriedBytes += Number(size);
      continue;
    }
    bytes += Number(size);
    if (entry.name.endsWith('.html')) pages++;
    else files++;
  }
  return { seen, bytes, carriedBytes, pages, files };
}
