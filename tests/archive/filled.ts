import { join } from 'node:path';
import type { BagInfo } from '../../src/archive/bagInfo.ts';
import type { Effects } from '../../src/effects.ts';

const FILES = 24;

/** Fills the payload of a bag with made files, as a report and its inputs would. */
export async function fill(bag: string, effects: Effects): Promise<BagInfo> {
  for (let i = 0; i < FILES; i++)
    await effects.write(join(bag, 'data', i % 2 ? 'site' : 'inputs/deep', `${i}.txt`), `file ${i}\n`.repeat(200 * i));
  return [['Gapbook-Edition', 'made 1']];
}
