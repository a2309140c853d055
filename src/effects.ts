import { createHash } from 'node:crypto';
import {
  type BigIntStats,
  createReadStream,
  type Dirent,
  existsSync,
  mkdirSync,
  readdirSync,
  readFileSync,
  readSync,
  realpathSync,
  renameSync,
  rmSync,
  statSync,
  writeFileSync,
} from 'node:fs';
import { copyFile, mkdir, open, realpath, rename, rm } from 'node:fs/promises';
import { basename, dirname, join } from 'node:path';
import { setFlagsFromString } from 'node:v8';
import { runInNewContext } from 'node:vm';

/** Everything that reaches outside the process, handed in so that tests can hand in something else. */
export interface Effects {
  text(path: string): Promise<string>;
  /**
   * The file in pieces, so that memory does not grow with its size.
   *
   * @param room where every piece is read to: it is good until the next one is asked for. Fresh memory by default
   */
  chunks(path: string, room?: Uint8Array): AsyncIterable<Uint8Array>;
  exists(path: string): Promise<boolean>;
  /** Path with links resolved; the path itself where it does not exist. */
  real(path: string): Promise<string>;
  /** Entries of a folder, sorted by code point; empty where there is none. A link is no folder, wherever it leads. */
  list(path: string): Promise<{ name: string; folder: boolean; link?: boolean }[]>;
  /**
   * What tells without reading whether a file is the one it was: size, stamps, inode. Null where there is none, or where
   * it changed so lately that another change could hide behind the same stamp.
   */
  identity(path: string): Promise<string | null>;
  /** The file is there as a whole or not at all, whenever the process ends. */
  write(path: string, content: string | Uint8Array): Promise<void>;
  /** Removes a file or a folder with all it holds; nothing where there is none. */
  remove(path: string): Promise<void>;
  /** The bytes of a file in a second place, whose folders are made. */
  copy(from: string, to: string): Promise<void>;
  /** Gives a file or a folder another name, at once; fails where a folder that holds something has that name. */
  move(from: string, to: string): Promise<void>;
  /** Waits until a file, or the list of names of a folder, would survive a loss of power. */
  settle(path: string): Promise<void>;
  /** Said between two pieces of work, when what the first needed is free: it is collected before it grows old. */
  tidy(): void;
  out(line: string): void;
  err(line: string): void;
  /** A line that the next one replaces, on a terminal only. */
  progress(line: string): void;
}

const byName = (a: { name: string }, b: { name: string }): number => (a.name < b.name ? -1 : a.name > b.name ? 1 : 0);

/** A file younger than this may change again within the same stamp on coarse file systems, ms. */
const SETTLED_MS = 2500;

/** Size of the pieces that files are read in. */
export const PIECE_BYTES = 1 << 20;

async function* piecesIn(room: Uint8Array, path: string): AsyncGenerator<Uint8Array> {
  const file = await open(path);
  try {
    for (;;) {
      const bytes = readSync(file.fd, room);
      if (bytes === 0) return;
      yield room.subarray(0, bytes);
    }
  } finally {
    await file.close();
  }
}

/** What a folder holds; nothing where there is none. */
function entriesOf(path: string): Dirent[] {
  try {
    return readdirSync(path, { withFileTypes: true });
  } catch {
    return [];
  }
}

/** Size, stamps and inode of a file; null where it cannot be looked at. */
function stampsOf(path: string): BigIntStats | null {
  try {
    return statSync(path, { bigint: true });
  } catch {
    return null;
  }
}

let collect: (() => void) | null = null;

/** The collector of young memory, which Node has no module for: what a flag gives to contexts that are made after it. */
function collectYoung(): () => void {
  if (!collect) {
    setFlagsFromString('--expose-gc');
    const gc = runInNewContext('gc') as (options: { type: 'minor' }) => void;
    collect = () => gc({ type: 'minor' });
  }
  return collect;
}

/** The real thing. */
export function machine(): Effects {
  const terminal = process.stderr.isTTY === true;
  let width = 0;
  const clear = (): void => {
    if (width > 0) process.stderr.write(`\r${' '.repeat(width)}\r`);
    width = 0;
  };
  return {
    // Without waits: of thousands of small files the turns of a queue would cost several times the reading and writing.
    text: async (path) => readFileSync(path, 'utf8'),
    chunks: (path, room) => (room ? piecesIn(room, path) : createReadStream(path, { highWaterMark: PIECE_BYTES })),
    exists: async (path) => existsSync(path),
    real: (path) => realpath(path).catch(() => path),
    async list(path) {
      return entriesOf(path)
        .map((entry) => ({ name: entry.name, folder: entry.isDirectory(), link: entry.isSymbolicLink() }))
        .sort(byName);
    },
    async identity(path) {
      const found = stampsOf(path);
      if (!found || Math.abs(Date.now() - Number(found.mtimeMs)) < SETTLED_MS) return null;
      return [found.size, found.mtimeNs, found.ctimeNs, found.ino].join(' ');
    },
    async write(path, content) {
      // Through a link to what it leads to, so that the link stays.
      const target = existsSync(path) ? realpathSync(path) : path;
      mkdirSync(dirname(target), { recursive: true });
      const unfinished = join(dirname(target), `.${basename(target)}.${process.pid}`);
      try {
        writeFileSync(unfinished, content);
        renameSync(unfinished, target);
      } catch (error) {
        rmSync(unfinished, { force: true });
        throw error;
      }
    },
    remove: (path) => rm(path, { recursive: true, force: true }),
    async copy(from, to) {
      await mkdir(dirname(to), { recursive: true });
      await copyFile(from, to);
    },
    move: rename,
    async settle(path) {
      const handle = await open(path, 'r');
      try {
        await handle.sync();
      } finally {
        await handle.close();
      }
    },
    tidy: () => collectYoung()(),
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
