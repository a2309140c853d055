import { relative, sep } from 'node:path';
import { LAYOUT } from '../archive/crate.ts';
import { type Effects, sha256 } from '../effects.ts';
import { slug } from '../report/paths.ts';
import { filesBelow } from './codeHash.ts';

/**
 * The results that an edition is compared by, as paths below its folder `data` and their texts: campaign and sessions,
 * which the site has packed for download, and of the curves, which are nine tenths of it all and stand in the site's tables,
 * the hashes.
 *
 * @param results folder of a build's results
 */
export async function editionResults(results: string, effects: Effects): Promise<Map<string, string>> {
  const texts = new Map<string, string>();
  const curves: Record<string, string> = {};
  for (const path of await filesBelow(results, effects)) {
    const name = relative(results, path).split(sep).join('/');
    const text = await effects.text(path);
    const [, session] = /^results\/(.*)\.json$/.exec(name) ?? [];
    if (name === 'campaign.json') texts.set(LAYOUT.campaign, text);
    else if (session !== undefined) texts.set(`${LAYOUT.results}/${slug(session)}.json.gz`, text);
    else if (name.startsWith('curves/')) curves[name] = sha256(text);
  }
  return texts.set(LAYOUT.curves, `${JSON.stringify(curves, null, 1)}\n`);
}
