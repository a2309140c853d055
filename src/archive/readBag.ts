import { join } from 'node:path';
import type { Effects } from '../effects.ts';
import { type BagInfo, infoOf, readBagInfo } from './bagInfo.ts';
import { decodedPath, pathFault } from './bagPath.ts';
import { filesOf } from './filesOf.ts';
import { ALGORITHMS, type Algorithm, type Hashed, hashed } from './hashes.ts';
import { type Manifest, readManifest } from './manifest.ts';
import { tagText } from './tagText.ts';

/** One thing found about a bag, with the file that it is about. */
export interface Finding {
  readonly severity: 'error' | 'warning';
  readonly what: 'changed' | 'missing' | 'added' | 'renamed' | 'structure';
  /** Path in the bag. */
  readonly path: string;
  readonly text: string;
}

export interface Bag {
  /** `1.0`; null where bagit.txt cannot be read. */
  readonly version: string | null;
  readonly info: BagInfo;
  /** In the order of their paths, errors and warnings alike. */
  readonly findings: readonly Finding[];
  /** Every file of the bag that was hashed. */
  readonly files: ReadonlyMap<string, Hashed>;
}

const LENGTHS: Readonly<Record<Algorithm, number>> = {
  md5: 32,
  sha1: 40,
  sha224: 56,
  sha256: 64,
  sha384: 96,
  sha512: 128,
};
const DECLARATION =
  /^BagIt-Version:[ \t]*(\d+)\.(\d+)[ \t]*(?:\r\n|\n|\r)Tag-File-Character-Encoding:[ \t]*(\S+)[ \t]*(?:\r\n|\n|\r)*$/;
const MANIFEST = /^(tag)?manifest-([A-Za-z0-9-]+)\.txt$/i;

/** A tag manifest lists every other file outside the payload, and no tag manifest. */
export const isTagManifest = (path: string): boolean => MANIFEST.exec(path)?.[1] !== undefined;

interface Listed {
  readonly file: string;
  readonly algorithm: Algorithm;
  readonly manifest: Manifest;
}

/**
 * Reads a bag (RFC 8493 and the drafts before it) and checks all of it: its form, that it is complete, and every hash.
 * Nothing is written and nothing is fetched, and no path of a manifest is followed out of the bag.
 *
 * @param closed every file outside `data/` has to be in a tag manifest too, which the RFC leaves open
 */
export async function readBag(folder: string, effects: Effects, closed = false): Promise<Bag> {
  const findings: Finding[] = [];
  const say = (severity: Finding['severity'], what: Finding['what'], path: string, text: string): void =>
    void findings.push({ severity, what, path, text });
  const error = (what: Finding['what'], path: string, text: string): void => say('error', what, path, text);

  const held = await filesOf(folder, effects);
  const there = new Set(held.files);
  for (const link of held.links) error('structure', link, 'is a link; a bag holds files');
  const none = (): Bag => ({ version: null, info: [], findings, files: new Map() });
  if (!there.has('bagit.txt')) {
    error('missing', 'bagit.txt', 'is not there, so this is no bag');
    return none();
  }
  const declaration = await bytesOf(join(folder, 'bagit.txt'), effects);
  // Left in by the decoder, so that a mark of byte order is found.
  const text = new TextDecoder('utf-8', { ignoreBOM: true }).decode(declaration);
  const [, major, minor, encoding] = DECLARATION.exec(text) ?? [];
  if (major === undefined || minor === undefined || encoding === undefined) {
    error(
      'structure',
      'bagit.txt',
      text.startsWith('\uFEFF')
        ? 'begins with a mark of byte order, which it must not'
        : 'is not the two lines `BagIt-Version: 1.0` and `Tag-File-Character-Encoding: UTF-8`',
    );
    return none();
  }
  const version = `${major}.${minor}`;
  const early = Number(major) < 1;
  if (Number(major) > 1 || (Number(major) === 1 && Number(minor) > 0))
    say('warning', 'structure', 'bagit.txt', `is of version ${version}; it is read as 1.0`);
  const read = async (path: string): Promise<string | null> => {
    const said = tagText(await bytesOf(join(folder, path), effects), encoding);
    if (said === null) error('structure', path, `is not in ${encoding}`);
    return said;
  };

  const payload: Listed[] = [];
  const tags: Listed[] = [];
  for (const file of held.files) {
    const [, tag, named = ''] = MANIFEST.exec(file) ?? [];
    if (named === '') continue;
    const algorithm = ALGORITHMS.find((name) => name === named.toLowerCase().replaceAll('-', ''));
    if (!algorithm) {
      say('warning', 'structure', file, `uses \`${named}\`, which is not known here: it is not checked`);
      continue;
    }
    const said = await read(file);
    if (said === null) continue;
    const manifest = readManifest(said, LENGTHS[algorithm], early);
    for (const { line, text: fault, grave } of manifest.faults)
      say(grave ? 'error' : 'warning', 'structure', file, `line ${line} ${fault}`);
    for (const path of manifest.entries.keys())
      if (path.startsWith('data/') === (tag !== undefined))
        error('structure', file, `names \`${path}\`, which is ${tag ? 'of the payload' : 'outside data/'}`);
    (tag ? tags : payload).push({ file, algorithm, manifest });
  }
  if (payload.length === 0)
    error('structure', 'manifest-sha512.txt', 'is not there, nor any other manifest of the payload');
  if (!held.files.some((path) => path.startsWith('data/')) && !(await effects.exists(join(folder, 'data'))))
    error('missing', 'data', 'is not there: a bag has its payload in that folder');

  const fetched = there.has('fetch.txt') ? fetchEntries((await read('fetch.txt')) ?? '', early, error) : [];
  for (const path of fetched)
    for (const { file, manifest } of payload)
      if (!manifest.entries.has(path)) error('structure', 'fetch.txt', `names \`${path}\`, which is not in ${file}`);

  // Hashes of everything that is listed, and of what is not, to know it again under another name.
  const algorithms = (lists: readonly Listed[]): Algorithm[] => [...new Set(lists.map(({ algorithm }) => algorithm))];
  const files = new Map<string, Hashed>();
  for (const path of held.files) {
    const needed = algorithms(path.startsWith('data/') ? payload : tags);
    if (needed.length === 0 || (!path.startsWith('data/') && isTagManifest(path))) continue;
    effects.progress(`hashing ${path}`);
    try {
      files.set(path, await hashed(join(folder, path), needed, effects));
    } catch (fault) {
      error('changed', path, `cannot be read: ${fault instanceof Error ? fault.message : String(fault)}`);
    }
  }
  const context: Context = { files, there, fetched: new Set(fetched), early, closed, error, say };
  compare(
    payload,
    held.files.filter((path) => path.startsWith('data/')),
    context,
  );
  if (tags.length > 0 || closed)
    compare(
      tags,
      held.files.filter((path) => !path.startsWith('data/') && !isTagManifest(path)),
      context,
    );

  let info: BagInfo = [];
  if (there.has('bag-info.txt')) {
    const entries = readBagInfo((await read('bag-info.txt')) ?? '');
    info = entries.info;
    for (const line of entries.wrong)
      error('structure', 'bag-info.txt', `line ${line} is not a label, a colon and a value`);
    oxum(info, files, there, fetched, error);
  }
  return { version, info, findings: findings.sort((a, b) => (a.path < b.path ? -1 : a.path > b.path ? 1 : 0)), files };
}

interface Context {
  readonly files: ReadonlyMap<string, Hashed>;
  readonly there: ReadonlySet<string>;
  readonly fetched: ReadonlySet<string>;
  readonly early: boolean;
  readonly closed: boolean;
  error(what: Finding['what'], path: string, text: string): void;
  say(severity: Finding['severity'], what: Finding['what'], path: string, text: string): void;
}

/** Compares what manifests list with what there is: changed, missing, added, and which of those are one file renamed. */
function compare(lists: readonly Listed[], there: readonly string[], context: Context): void {
  const { files, error, say } = context;
  const listed = new Map<string, Listed[]>();
  for (const list of lists)
    for (const path of list.manifest.entries.keys()) listed.set(path, [...(listed.get(path) ?? []), list]);

  const missing = [...listed.keys()].filter((path) => !context.there.has(path)).sort();
  const added = there.filter((path) => !listed.has(path));
  const same = (gone: string, come: string): boolean =>
    listed.get(gone)!.every(({ algorithm, manifest }) => manifest.entries.get(gone) === files.get(come)?.of[algorithm]);
  const settled = new Set<string>();
  for (const gone of missing) {
    const match = added.find((path) => !settled.has(path) && same(gone, path));
    if (match !== undefined) {
      settled.add(match);
      // Some file systems change the form of letters with marks; the name reads the same.
      if (match.normalize() === gone.normalize())
        say('warning', 'renamed', gone, `is there as \`${match}\`, the same letters in another Unicode form`);
      else error('renamed', gone, `is now called \`${match}\``);
    } else if (context.fetched.has(gone))
      error('missing', gone, 'is not there; fetch.txt says from where it would come, and nothing is fetched here');
    else
      error(
        'missing',
        gone,
        `is not there, and ${listed
          .get(gone)!
          .map(({ file }) => file)
          .join(' and ')} names it`,
      );
  }
  for (const path of added) {
    if (settled.has(path)) continue;
    if (path.startsWith('data/')) error('added', path, 'is there and in no manifest');
    else if (context.closed) error('added', path, 'is there and in no tag manifest');
  }
  for (const [path, by] of listed) {
    const found = files.get(path);
    if (!found) continue;
    const wrong = by.filter(({ algorithm, manifest }) => manifest.entries.get(path) !== found.of[algorithm]);
    if (wrong.length === by.length)
      error(
        'changed',
        path,
        `is not the file that ${wrong.map(({ file }) => file).join(' and ')} ${wrong.length === 1 ? 'lists' : 'list'}`,
      );
    else
      for (const { file } of wrong)
        error('changed', file, `has another hash for \`${path}\` than the file, which the other manifests agree with`);
    // Since 1.0 every manifest of the payload lists all of it; before, it was enough to be in one.
    const needed = context.early || !path.startsWith('data/') ? [] : lists.filter((list) => !by.includes(list));
    for (const { file } of needed) error('structure', file, `does not name \`${path}\`, which another manifest does`);
    if (context.closed && !path.startsWith('data/'))
      for (const { file } of lists.filter((list) => !by.includes(list)))
        error('structure', file, `does not name \`${path}\`, which another manifest does`);
  }
}

function fetchEntries(text: string, early: boolean, error: Context['error']): string[] {
  const paths: string[] = [];
  text.split(/\r\n|\n|\r/).forEach((line, i) => {
    if (line === '') return;
    const [, address = '', , named = ''] = /^(\S+)[ \t]+(\d+|-)[ \t]+(\S.*)$/.exec(line) ?? [];
    const path = decodedPath(named, early);
    const fault = address === '' ? 'is not an address, a length and a path' : pathFault(path);
    if (fault)
      error('structure', 'fetch.txt', `line ${i + 1} ${address === '' ? fault : `names a path that ${fault}`}`);
    else if (!path.startsWith('data/'))
      error('structure', 'fetch.txt', `line ${i + 1} names \`${path}\`, outside data/`);
    else paths.push(path);
  });
  return paths;
}

/** Checks the sum of bytes and files that bag-info.txt may give. */
function oxum(
  info: BagInfo,
  files: ReadonlyMap<string, Hashed>,
  there: ReadonlySet<string>,
  fetched: readonly string[],
  error: Context['error'],
): void {
  const given = infoOf(info, 'Payload-Oxum');
  if (given === null || fetched.some((path) => !there.has(path))) return;
  const payload = [...files].filter(([path]) => path.startsWith('data/'));
  const counted = `${payload.reduce((sum, [, { bytes }]) => sum + bytes, 0)}.${payload.length}`;
  if (given !== counted)
    error('structure', 'bag-info.txt', `says that the payload is ${given} (bytes.files), and it is ${counted}`);
}

async function bytesOf(path: string, effects: Effects): Promise<Uint8Array> {
  const chunks: Uint8Array[] = [];
  for await (const chunk of effects.chunks(path)) chunks.push(chunk);
  return Buffer.concat(chunks);
}
