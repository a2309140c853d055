import { createHash } from 'node:crypto';
import type { Effects } from '../effects.ts';

/** Algorithms that bags are found with. Ours are written with the last and `sha256`. */
export const ALGORITHMS = ['md5', 'sha1', 'sha224', 'sha256', 'sha384', 'sha512'] as const;
export type Algorithm = (typeof ALGORITHMS)[number];

/** A file's hashes in hexadecimal, and its length. */
export interface Hashed {
  readonly bytes: number;
  readonly of: Readonly<Partial<Record<Algorithm, string>>>;
}

/** Reads a file once, piece by piece, for several hashes. */
export async function hashed(path: string, algorithms: readonly Algorithm[], effects: Effects): Promise<Hashed> {
  const hashes = algorithms.map((name) => [name, createHash(name)] as const);
  let bytes = 0;
  for await (const chunk of effects.chunks(path)) {
    bytes += chunk.length;
    for (const [, hash] of hashes) hash.update(chunk);
  }
  return { bytes, of: Object.fromEntries(hashes.map(([name, hash]) => [name, hash.digest('hex')])) };
}
