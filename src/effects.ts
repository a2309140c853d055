import { createHash } from 'node:crypto';
import { createReadStream } from 'node:fs';
import { mkdir, readdir, readFile, realpath, stat, writeFile } from 'node:fs/promises';
import { dirname } from 'node:path';

/** Everything that reaches outside the process, handed in so that tests can hand in something else. */
export interface Effects {
  text(path: string): Promise<string>;
  /** The file in pieces, so that memory does not grow with its size. */
  chunks(path: string): AsyncIterable<Uint8Array>;
  exists(path: string): Promise<boolean>;
  /** Path with links resolved; the path itself where it does not exist. */
  real(path: string): Promise<string>;
  /** Entries of a folder, sorted by code point; empty where there is none. */
  list(path: string): Promise<{ name: string; folder: boolean }[]>;
  write(path: string, text: string): Promise<void>;
  out(line: string): void;
  err(line: string): void;
  /** A line that the next one replaces, on a terminal only. */
  progress(line: string): void;
}

const byName = (a: { name: string }, b: { name: string }): number => (a.name < b.name ? -1 : a.name > b.name ? 1 : 0);

/** The real thing. */
export function machine(): Effects {
  const terminal = process.stderr.isTTY === true;
  let width = 0;
  const clear = (): void => {
    if (width > 0) process.stderr.write(`\r${' '.repeat(width)}\r`);
    width = 0;
  };
  return {
    text: (path) => readFile(path, 'utf8'),
    chunks: (path) => createReadStream(path, { highWaterMark: 1 << 20 }),
    exists: (path) =>
      stat(path).then(
        () => true,
        () => false,
      ),
    real: (path) => realpath(path).catch(() => path),
    async list(path) {
      const entries = await readdir(path, { withFileTypes: true }).catch(() => []);
      return entries.map((entry) => ({ name: entry.name, folder: entry.isDirectory() })).sort(byName);
    },
    async write(path, text) {
      await mkdir(dirname(path), { recursive: true });
      await writeFile(path, text);
    },
    out(line) {
      clear();
      process.stdout.write(`${line}\n`);
    },
    err(line) {
      clear();
      process.stderr.write(`${line}\n`);
    },
    progress(line) {
      if (!terminal) return;
      clear();
      const shown = line.slice(0, (process.stderr.columns ?? 80) - 1);
      process.stderr.write(shown);
      width = shown.length;
    },
  };
}

/** SHA-256 of a text or of bytes, in hexadecimal. */
export const sha256 = (data: string | Uint8Array): string => createHash('sha256').update(data).digest('hex');
