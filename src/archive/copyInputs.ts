import { join } from 'node:path';
import type { LoadedCampaign } from '../campaign/load.ts';
import type { Effects } from '../effects.ts';
import type { ChosenInputs } from './chosenInputs.ts';
import type { InputFile } from './editionFile.ts';
import { hashed } from './hashes.ts';
import { withoutColumns } from './withoutColumns.ts';

/** A log that a channel cannot be taken out of, or a log that is not there. In words for a person. */
export class NotPublished extends Error {}

/**
 * Copies the inputs of an edition to a folder with `content` and `sessions`, byte for byte but for the values that are
 * never to be published.
 *
 * @param to folder that gets them
 * @param withhold channels, or columns by their headings
 * @returns by path below the folder, what is there
 * @throws NotPublished
 */
export async function copyInputs(
  loaded: LoadedCampaign,
  chosen: ChosenInputs,
  to: string,
  withhold: readonly string[],
  effects: Effects,
): Promise<Record<string, InputFile>> {
  const inputs: Record<string, InputFile> = {};
  const note = async (path: string, original?: InputFile['original']): Promise<void> => {
    const { bytes, of } = await hashed(join(to, path), ['sha256'], effects);
    inputs[path] = { sha256: of.sha256!, bytes, here: true, ...(original ? { original } : {}) };
  };
  for (const path of chosen.content) {
    await effects.copy(join(loaded.folders.content, path), join(to, 'content', path));
    await note(`content/${path}`);
  }
  for (const { id, folder, session } of chosen.sessions) {
    const home = `sessions/${id}`;
    await effects.copy(join(folder, 'session.md'), join(to, home, 'session.md'));
    await note(`${home}/session.md`);
    for (const run of session?.runs ?? []) {
      for (const name of [...run.files, ...(run.frameCircuit === null ? [] : [run.frameCircuit])]) {
        const path = `${home}/${name}`;
        if (inputs[path] || !(await effects.exists(join(folder, name)))) continue;
        effects.progress(`copying ${id}/${name}`);
        const from = join(folder, name);
        if (withhold.length === 0 || name === run.frameCircuit) {
          await effects.copy(from, join(to, path));
          await note(path);
          continue;
        }
        const without = await withoutColumns(effects.chunks(from), name, (heading) => {
          const channel = run.columns.channelOf(heading)?.name;
          return withhold.includes(heading) || (channel !== undefined && withhold.includes(channel));
        });
        if (without === null)
          throw new NotPublished(
            `${id}/${name} is of a kind that no channel can be taken out of, and campaign.md says never to publish ${withhold.join(', ')}`,
          );
        if (without.columns.length === 0) {
          await effects.copy(from, join(to, path));
          await note(path);
        } else {
          await effects.write(join(to, path), without.bytes);
          const { bytes, of } = await hashed(from, ['sha256'], effects);
          await note(path, { sha256: of.sha256!, bytes });
        }
      }
    }
  }
  return inputs;
}
