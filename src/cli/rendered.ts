import { existsSync, readdirSync, statSync } from 'node:fs';
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

/** What tells whether a file is still the one that was written, by its path below the site. */
type Seen = Readonly<Record<string, string>>;

/** Paths of files that were made from the same things, by the key of those. */
export type Groups = ReadonlyMap<string, readonly string[]>;

interface Note extends SiteSize {
  readonly out: string;
  /** Of everything the site was made from. */
  readonly key: string;
  readonly groups: Readonly<Record<string, readonly string[]>>;
  readonly seen: Seen;
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
    const note = await this.#noted(out);
    if (note?.key !== key) return null;
    const { seen } = look(out);
    const paths = Object.keys(seen);
    const same =
      paths.length === Object.keys(note.seen).length && paths.every((path) => seen[path] === note.seen[path]);
    return same ? note : null;
  }

  /** What stands in `out` as it was written: pages, and groups whole. */
  async standing(out: string): Promise<{ readonly pages: readonly string[]; readonly groups: Groups }> {
    const note = await this.#noted(out);
    if (!note) return { pages: [], groups: new Map() };
    const { seen } = look(out);
    const stands = (path: string): boolean => seen[path] !== undefined && seen[path] === note.seen[path];
    const groups = Object.entries(note.groups);
    // Where names of two sessions differ in signs alone, one overwrote the other's files.
    const claims = new Map<string, number>();
    for (const path of groups.flatMap(([, paths]) => paths)) claims.set(path, (claims.get(path) ?? 0) + 1);
    return {
      pages: Object.keys(note.seen).filter((path) => path.endsWith('.html') && !carried(path) && stands(path)),
      groups: new Map(groups.filter(([, paths]) => paths.every((path) => claims.get(path) === 1 && stands(path)))),
    };
  }

  /** The note of the site in `out`; null where there is none. */
  async #noted(out: string): Promise<Note | null> {
    try {
      const note = JSON.parse(await this.#effects.text(this.#path)) as Note;
      return note.out === out ? note : null;
    } catch {
      return null;
    }
  }

  forget(): Promise<void> {
    return this.#effects.remove(this.#path);
  }

  /** Looks at a site that has just been rendered, and notes it. */
  async note(out: string, key: string, groups: Groups): Promise<SiteSize> {
    const note: Note = { out, key, groups: Object.fromEntries(groups), ...look(out) };
    await this.#effects.write(this.#path, `${JSON.stringify(note)}\n`);
    return note;
  }
}

/** Looks at every file of a site. Without waits: of thousands their turns would cost several times the looking. */
function look(out: string): SiteSize & { readonly seen: Seen } {
  const seen: Record<string, string> = {};
  let bytes = 0;
  let carriedBytes = 0;
  let pages = 0;
  let files = 0;
  for (const entry of existsSync(out) ? readdirSync(out, { recursive: true, withFileTypes: true }) : []) {
    if (entry.isDirectory()) continue;
    const path = join(entry.parentPath, entry.name);
    const { size, mtimeNs, ctimeNs, ino } = statSync(path, { bigint: true });
    const below = relative(out, path);
    seen[below] = [size, mtimeNs, ctimeNs, ino].join(' ');
    if (carried(below)) {
      carriedBytes += Number(size);
      continue;
    }
    bytes += Number(size);
    if (entry.name.endsWith('.html')) pages++;
    else files++;
  }
  return { seen, bytes, carriedBytes, pages, files };
}

/** Whether a file of a site belongs to an edition that it carries. */
const carried = (path: string): boolean => path.startsWith(`editions${sep}`);
