import { gzipSync } from 'node:zlib';

/** Place in the head of a gzip file (RFC 1952) that names the system it was made on, and the value for none. */
const SYSTEM = { at: 9, none: 255 } as const;

/** Packed with gzip, the same bytes on every system: no name, no date. */
export function gzipped(content: string | Uint8Array): Uint8Array {
  const packed = gzipSync(content, { level: 9 });
  packed[SYSTEM.at] = SYSTEM.none;
  return packed;
}
