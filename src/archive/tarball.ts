import { gzipped } from '../report/tables/gzipped.ts';

const BLOCK = 512;

/**
 * Files as a packed tar archive (POSIX ustar) that depends on nothing but their names and bytes: no owner, no date.
 *
 * @param files path and content; a path is at most 100 bytes, or 255 with a `/` that cuts it at 155 and 100
 */
export function tarball(files: Iterable<readonly [path: string, content: Uint8Array]>): Uint8Array {
  const parts: Uint8Array[] = [];
  for (const [path, content] of files) {
    parts.push(header(path, content.length), content);
    const rest = content.length % BLOCK;
    if (rest > 0) parts.push(new Uint8Array(BLOCK - rest));
  }
  parts.push(new Uint8Array(2 * BLOCK));
  return gzipped(Buffer.concat(parts));
}

function header(path: string, size: number): Uint8Array {
  const block = Buffer.alloc(BLOCK);
  let [prefix, name] = ['', path];
  if (Buffer.byteLength(path) > 100) {
    const cut = path.indexOf('/', Math.max(0, path.length - 101));
    [prefix, name] = [path.slice(0, cut), path.slice(cut + 1)];
    if (cut < 1 || Buffer.byteLength(name) > 100 || Buffer.byteLength(prefix) > 155)
      throw new Error(`${path} is too long a path for a tar archive`);
  }
  const octal = (value: number, length: number): string => `${value.toString(8).padStart(length - 1, '0')}\0`;
  block.write(name, 0, 'utf8');
  block.write(octal(0o644, 8) + octal(0, 8) + octal(0, 8) + octal(size, 12) + octal(0, 12), 100, 'latin1');
  block.write('        0', 148, 'latin1');
  block.write('ustar\x0000', 257, 'latin1');
  block.write(prefix, 345, 'utf8');
  const sum = block.reduce((total, byte) => total + byte, 0);
  block.write(`${sum.toString(8).padStart(6, '0')}\0 `, 148, 'latin1');
  return block;
}
