import { decodedPath, encodedPath, pathFault } from './bagPath.ts';

/** A fault of a manifest, or something about it that is allowed and odd. */
export interface ManifestFault {
  readonly line: number;
  readonly text: string;
  readonly grave: boolean;
}

export interface Manifest {
  /** Path in the bag -> hash, in small letters. */
  readonly entries: ReadonlyMap<string, string>;
  readonly faults: readonly ManifestFault[];
}

/**
 * Reads a manifest: a hash, white space, a path, on each line.
 *
 * @param length of the algorithm's hashes, in hexadecimal digits
 * @param early for versions before 1.0
 */
export function readManifest(text: string, length: number, early: boolean): Manifest {
  const entries = new Map<string, string>();
  const faults: ManifestFault[] = [];
  const lines = text.split(/\r\n|\n|\r/);
  for (const [i, line] of lines.entries()) {
    const fault = (grave: boolean, said: string): void => void faults.push({ line: i + 1, text: said, grave });
    const parts = /^([0-9A-Fa-f]+)[ \t]+(\S.*)$/.exec(line);
    if (line === '') {
      if (i < lines.length - 1) fault(false, 'is empty');
    } else if (parts?.[1]?.length !== length) fault(true, `is not ${length} hexadecimal digits and a path`);
    else {
      const named = parts[2]!;
      // As the checksum programs of Unix write it: a star for binary, or a dot for the folder that they ran in.
      const plain = named.replace(/^\*/, '').replace(/^(\.\/)+/, '');
      if (plain !== named) fault(false, `has the path \`${named}\`, as programs for checksums write it`);
      const path = decodedPath(plain, early);
      const hash = parts[1].toLowerCase();
      const wrong = pathFault(path);
      const before = entries.get(path);
      if (wrong) fault(true, `names \`${plain}\`, a path that ${wrong}`);
      else if (before === hash) fault(false, `names \`${plain}\` a second time`);
      else if (before !== undefined) fault(true, `names \`${plain}\` a second time with another hash`);
      else entries.set(path, hash);
    }
  }
  return { entries, faults };
}

/** A manifest as we write it, sorted by path. */
export const manifestText = (entries: Iterable<readonly [path: string, hash: string]>): string =>
  [...entries]
    .sort(([a], [b]) => (a < b ? -1 : a > b ? 1 : 0))
    .map(([path, hash]) => `${hash}  ${encodedPath(path)}\n`)
    .join('');
