import { join } from 'node:path';
import type { Effects } from '../effects.ts';
import { infoOf } from './bagInfo.ts';
import { filesOf } from './filesOf.ts';
import { type Hashed, hashed } from './hashes.ts';
import { type Bag, type Finding, isTagManifest, readBag } from './readBag.ts';
import { BAGIT, fingerprint, listOf, OURS, tagManifest } from './sealBag.ts';

export interface Bytes {
  readonly bag: Bag;
  readonly findings: readonly Finding[];
  /** `twelve-seconds 1` where the bag is an edition of ours. */
  readonly edition: string | null;
  /** SHA-256 of tagmanifest-sha512.txt; null where the bag has none. */
  readonly fingerprint: string | null;
}

/**
 * Checks every byte of a bag. Of an edition more is asked than of a bag: nothing beside what its manifests list, and the
 * lists of its lists to the letter as we write them, so that no byte of it can change unseen.
 */
export async function verifyBytes(folder: string, effects: Effects): Promise<Bytes> {
  const open = await readBag(folder, effects);
  const edition = infoOf(open.info, 'Gapbook-Edition');
  if (edition === null) return { bag: open, findings: open.findings, edition, fingerprint: null };
  const bag = await readBag(folder, effects, true);
  const findings = [...bag.findings];
  const tags = new Map<string, Hashed>();
  const { files } = await filesOf(folder, effects);
  for (const path of files)
    if (!path.startsWith('data/') && !isTagManifest(path))
      tags.set(path, await hashed(join(folder, path), OURS, effects));
  const exact = async (path: string, text: string): Promise<void> => {
    const there = await effects.text(join(folder, path)).catch(() => null);
    if (there === null) findings.push({ severity: 'error', what: 'missing', path, text: 'is not there' });
    else if (there !== text && !findings.some((f) => f.path === path))
      findings.push({ severity: 'error', what: 'changed', path, text: 'is not as it was written' });
  };
  const ours: readonly string[] = OURS.map(tagManifest);
  for (const path of files)
    if (isTagManifest(path) && !ours.includes(path))
      findings.push({ severity: 'error', what: 'added', path, text: 'is there, and no edition has it' });
  await exact('bagit.txt', BAGIT);
  // Where another file is at fault its hash here would differ too, and that is said already.
  const sound = findings.every(({ path }) => path.startsWith('data/') || isTagManifest(path));
  for (const name of OURS)
    if (sound) await exact(tagManifest(name), listOf(tags, name));
    else if (!files.includes(tagManifest(name))) await exact(tagManifest(name), '');
  return {
    bag,
    findings,
    edition,
    fingerprint: files.includes(tagManifest('sha512')) ? await fingerprint(folder, effects) : null,
  };
}
