import { dirname, join } from 'node:path';
import type { Effects } from '../effects.ts';
import { editionPath } from '../report/evidence/pairs.ts';
import { LAYOUT } from './crate.ts';
import type { FoundEdition } from './editionsIn.ts';
import { filesOf } from './filesOf.ts';

/** Puts the reports of editions into a site, each in a folder of its own and byte for byte as it was published. */
export async function carryEditions(editions: readonly FoundEdition[], out: string, effects: Effects): Promise<void> {
  for (const { folder, record } of editions) {
    const from = join(folder, 'data', LAYOUT.site);
    const to = join(out, dirname(editionPath(record)));
    effects.progress(`edition ${record.number} of ${record.milestone}`);
    for (const path of (await filesOf(from, effects)).files) await effects.copy(join(from, path), join(to, path));
  }
}
