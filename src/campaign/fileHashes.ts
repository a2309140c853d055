import { createHash } from 'node:crypto';
import type { Effects } from '../effects.ts';

/** SHA-256 of files, remembered from build to build for as long as size, stamps and inode stay. */
export class FileHashes {
  readonly #path: string;
  readonly #effects: Effects;
  #before: ReadonlyMap<string, Noted> = new Map();
  readonly #now = new Map<string, Noted>();

  /** @param path where they are remembered */
  constructor(path: string, effects: Effects) {
    this.#path = path;
    this.#effects = effects;
  }

  async open(): Promise<void> {
    const text = await this.#effects.text(this.#path).catch(() => '{}');
    try {
      this.#before = new Map(Object.entries(JSON.parse(text) as Record<string, Noted>));
    } catch {
      this.#before = new Map();
    }
  }

  /** In hexadecimal; `missing` or `unreadable` where there is nothing to hash. */
  async of(path: string): Promise<string> {
    const identity = await this.#effects.identity(path);
    const noted = this.#now.get(path) ?? this.#before.get(path);
    if (identity !== null && noted?.identity === identity) {
      this.#now.set(path, noted);
      return noted.sha256;
    }
    if (!(await this.#effects.exists(path))) return 'missing';
    const hash = createHash('sha256');
    try {
      for await (const chunk of this.#effects.chunks(path)) hash.update(chunk);
    } catch {
      return 'unreadable';
    }
    const sha256 = hash.digest('hex');
    // Noted only if it did not change while it was read.
    if (identity !== null && (await this.#effects.identity(path)) === identity)
      this.#now.set(path, { identity, sha256 });
    return sha256;
  }

  /** Remembers what was asked for this time; the rest is forgotten. */
  close(): Promise<void> {
    return this.#effects.write(this.#path, `${JSON.stringify(Object.fromEntries(this.#now))}\n`);
  }
}

interface Noted {
  readonly identity: string;
  readonly sha256: string;
}
