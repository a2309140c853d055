import { join } from 'node:path';
import { gunzipSync } from 'node:zlib';
import type { Effects } from '../effects.ts';
import { LAYOUT } from './crate.ts';
import { filesOf } from './filesOf.ts';

/**
 * The results that an edition holds, packed or not.
 *
 * @param data folder `data` of the edition
 * @returns JSON texts by their path below it: the campaign, and every session in the order of their names; empty where a
 *   file cannot be unpacked
 */
export async function storedResults(
  data: string,
  effects: Effects,
): Promise<{ campaign: [path: string, text: string] | null; sessions: Map<string, string> }> {
  const text = async (path: string): Promise<string> => {
    if (!path.endsWith('.gz')) return effects.text(join(data, path));
    const chunks: Uint8Array[] = [];
    for await (const chunk of effects.chunks(join(data, path))) chunks.push(chunk);
    try {
      return gunzipSync(Buffer.concat(chunks)).toString('utf8');
    } catch {
      return '';
    }
  };
  const sessions = new Map<string, string>();
  for (const name of (await filesOf(join(data, LAYOUT.results), effects)).files)
    if (/(?<!\.schema)\.json(\.gz)?$/.test(name))
      sessions.set(`${LAYOUT.results}/${name}`, await text(`${LAYOUT.results}/${name}`));
  for (const path of [LAYOUT.campaign, LAYOUT.campaign.replace(/\.gz$/, '')])
    if (await effects.exists(join(data, path))) return { campaign: [path, await text(path)], sessions };
  return { campaign: null, sessions };
}
