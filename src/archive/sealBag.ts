import { join } from 'node:path';
import type { Effects } from '../effects.ts';
import { type BagInfo, bagInfoText } from './bagInfo.ts';
import { filesOf } from './filesOf.ts';
import { type Algorithm, type Hashed, hashed } from './hashes.ts';
import { manifestText } from './manifest.ts';

/** Hashes that our bags carry. */
export const OURS = ['sha256', 'sha512'] as const satisfies readonly Algorithm[];

/** The declaration that our bags begin with. */
export const BAGIT = 'BagIt-Version: 1.0\nTag-File-Character-Encoding: UTF-8\n';

/**
 * Makes a bag (RFC 8493) of a folder that has its payload in `data/`: declaration, bag-info, manifests, tag manifests.
 *
 * @param info what bag-info.txt is to say; the sum of bytes and files is added
 * @returns SHA-256 of tagmanifest-sha512.txt: a fingerprint of the whole bag
 */
export async function sealBag(folder: string, info: BagInfo, effects: Effects): Promise<string> {
  const payload = new Map<string, Hashed>();
  for (const path of (await filesOf(join(folder, 'data'), effects)).files) {
    effects.progress(`hashing data/${path}`);
    payload.set(`data/${path}`, await hashed(join(folder, 'data', path), OURS, effects));
  }
  const bytes = [...payload.values()].reduce((sum, file) => sum + file.bytes, 0);
  const write = (path: string, text: string): Promise<void> => effects.write(join(folder, path), text);
  await write('bagit.txt', BAGIT);
  await write('bag-info.txt', bagInfoText([...info, ['Payload-Oxum', `${bytes}.${payload.size}`]]));
  for (const name of OURS) await write(`manifest-${name}.txt`, listOf(payload, name));
  const tags = new Map<string, Hashed>();
  for (const path of (await filesOf(folder, effects)).files)
    if (!path.startsWith('data/')) tags.set(path, await hashed(join(folder, path), OURS, effects));
  for (const name of OURS) await write(tagManifest(name), listOf(tags, name));
  return fingerprint(folder, effects);
}

/** Name of the manifest over everything that is not payload. */
export const tagManifest = (name: (typeof OURS)[number]): string => `tagmanifest-${name}.txt`;

/** A manifest of files with their hashes. */
export const listOf = (files: ReadonlyMap<string, Hashed>, name: (typeof OURS)[number]): string =>
  manifestText([...files].map(([path, { of }]) => [path, of[name]!]));

/** SHA-256 of tagmanifest-sha512.txt, by which a whole bag is known: any other byte in it is another fingerprint. */
export async function fingerprint(folder: string, effects: Effects): Promise<string> {
  return (await hashed(join(folder, tagManifest('sha512')), ['sha256'], effects)).of.sha256!;
}
