import { dirname, join } from 'node:path';
import type { Effects } from '../effects.ts';
import { CHECKSUM_FILES, checksumsPath, editionPath } from '../report/evidence/pairs.ts';
import { LAYOUT } from './crate.ts';
import type { FoundEdition } from './editionsIn.ts';
import { filesOf } from './filesOf.ts';

/**
 * Puts the reports of editions into a site, each in a folder of its own and byte for byte as it was published, and beside
 * it the lists by which the whole edition is checked.
 */
export async function carryEditions(editions: readonly FoundEdition[], out: string, effects: Effects): Promise<void> {
  for (const { folder, record } of editions) {
    const from = join(folder, 'data', LAYOUT.site);
    const to = join(out, dirname(editionPath(record)));
    effects.progress(`edition ${record.number} of ${record.milestone}`);
    for (const path of (await filesOf(from, effects)).files) await effects.copy(join(from, path), join(to, path));
    for (const file of CHECKSUM_FILES)
      if (await effects.exists(join(folder, file)))
        await effects.copy(join(folder, file), join(out, checksumsPath(record, file)));
  }
}
