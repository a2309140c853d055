import { join } from 'node:path';
import { chosenInputs } from '../archive/chosenInputs.ts';
import { copyInputs } from '../archive/copyInputs.ts';
import { LAYOUT } from '../archive/crate.ts';
import type { EditionFile } from '../archive/editionFile.ts';
import { loadCampaign } from '../campaign/load.ts';
import type { Effects } from '../effects.ts';
import { type Written, writeResults } from './resultsFolder.ts';

/** What a recomputation gave, or why there is none. */
export type Recomputed =
  | { readonly written: Written }
  /** Inputs that the edition does not hold and nobody gave, or gave in another form. */
  | { readonly missing: readonly string[] };

/**
 * Computes the results of an edition again, from the inputs in it and nothing else. Nothing is written into the edition.
 *
 * @param bag folder of the edition
 * @param sessions folder with the logs that were not published; null where nobody has them
 * @param work an empty folder
 */
export async function recompute(
  bag: string,
  edition: EditionFile,
  sessions: string | null,
  work: string,
  effects: Effects,
): Promise<Recomputed> {
  const inputs = join(bag, 'data', LAYOUT.inputs);
  const withheld = Object.entries(edition.inputs).filter(([, { here }]) => !here);
  let folders = { content: join(inputs, 'content'), sessions: join(inputs, 'sessions') };
  if (withheld.length > 0) {
    const given = join(work, 'given');
    const missing: string[] = [];
    for (const [path, { here }] of Object.entries(edition.inputs)) {
      const from = here ? join(inputs, path) : sessions && join(sessions, path.replace(/^sessions\//, ''));
      if (from && (await effects.exists(from))) await effects.copy(from, join(given, path));
      else missing.push(path);
    }
    if (missing.length > 0) return { missing };
    const loaded = await loadCampaign({ content: join(given, 'content'), sessions: join(given, 'sessions') }, effects);
    const milestone = loaded.milestones.find(({ id }) => id === edition.milestone);
    if (!milestone) return { missing: [`content/milestones/${edition.milestone}.md`] };
    // The same way as when it was published: channels that were taken out then are taken out now.
    const again = join(work, 'inputs');
    const chosen = { ...chosenInputs(loaded, milestone, edition.evidenceOnly), sessions: loaded.sessions };
    const files = await copyInputs(loaded, chosen, again, edition.withheld, effects);
    const other = withheld.flatMap(([path, { sha256 }]) =>
      files[path]?.sha256 === sha256 ? [] : [`${path}, which is not the log that was used`],
    );
    if (other.length > 0) return { missing: other };
    folders = { content: join(given, 'content'), sessions: join(again, 'sessions') };
  }
  const { milestone, number, lapPages, evidenceOnly } = edition;
  const written = await writeResults(folders, join(work, 'cache'), edition.asOfAsked, effects, {
    edition: { milestone, number, lapPages, evidenceOnly },
  });
  return { written };
}
