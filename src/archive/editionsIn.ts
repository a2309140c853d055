import { join } from 'node:path';
import type { EditionRecord } from '../campaign/editions.ts';
import type { Effects } from '../effects.ts';
import { infoOf, readBagInfo } from './bagInfo.ts';
import { LAYOUT } from './crate.ts';
import { editionSays } from './editionFigures.ts';
import { type EditionFile, editionFile } from './editionFile.ts';
import { editionNumbers } from './publishEdition.ts';
import { fingerprint } from './sealBag.ts';
import { storedResults } from './storedResults.ts';

/** An edition with the folder that it lies in. */
export interface FoundEdition {
  readonly folder: string;
  readonly record: EditionRecord;
}

/**
 * Every edition in a folder of editions: milestone by milestone, by the date of each one's first, then in order.
 *
 * @returns what could be read, and in `unreadable` the folders of what could not, with the reason
 */
export async function editionsIn(
  folder: string,
  effects: Effects,
): Promise<{ editions: FoundEdition[]; unreadable: { folder: string; why: string }[] }> {
  const editions: FoundEdition[] = [];
  const unreadable: { folder: string; why: string }[] = [];
  for (const { name, folder: deeper } of await effects.list(folder)) {
    if (!deeper) continue;
    for (const number of await editionNumbers(join(folder, name), effects)) {
      const home = join(folder, name, String(number));
      try {
        editions.push({ folder: home, record: await recordOf(home, effects) });
      } catch (error) {
        unreadable.push({ folder: home, why: error instanceof Error ? error.message : String(error) });
      }
    }
  }
  const first = new Map(editions.toReversed().map(({ record }) => [record.milestone, record.asOf]));
  const key = ({ record: { milestone } }: FoundEdition): string => `${first.get(milestone)} ${milestone}`;
  // Those of one milestone stay in their order.
  return { editions: editions.toSorted((a, b) => (key(a) < key(b) ? -1 : key(a) > key(b) ? 1 : 0)), unreadable };
}

async function recordOf(home: string, effects: Effects): Promise<EditionRecord> {
  const data = join(home, 'data');
  const read = async (path: string): Promise<unknown> => JSON.parse(await effects.text(join(data, path)));
  const edition: EditionFile = editionFile.parse(await read(LAYOUT.edition));
  const { campaign, sessions } = await storedResults(data, effects);
  if (!campaign) throw new Error(`data/${LAYOUT.campaign} is not there`);
  const says = editionSays(
    edition.schema,
    JSON.parse(campaign[1]),
    [...sessions.values()].map((text) => JSON.parse(text)),
    edition.milestone,
  );
  const { info } = readBagInfo(await effects.text(join(home, 'bag-info.txt')));
  const [bytes = 0, files = 0] = (infoOf(info, 'Payload-Oxum') ?? '').split('.').map(Number);
  const texts = Object.entries(edition.inputs).filter(([path]) => path.endsWith('.md'));
  const logs = Object.entries(edition.inputs).filter(([path]) => /^sessions\//.test(path) && !path.endsWith('.md'));
  return {
    milestone: edition.milestone,
    title: edition.title,
    number: edition.number,
    asOf: edition.asOf,
    tool: edition.tool.version,
    node: edition.tool.node,
    code: edition.code.analysis,
    method: edition.method,
    schema: edition.schema,
    fingerprint: await fingerprint(home, effects),
    bytes,
    files,
    logs: logs.every(([, { here }]) => here),
    withheld: edition.withheld,
    settings: edition.evidenceOnly ? 'the sessions of the evidence' : 'every session to its date',
    sessions: [...new Set((says?.evidence ?? []).map(({ session }) => session))],
    data: { ...says?.data },
    notes: Object.fromEntries(texts.map(([path, { sha256 }]) => [path.replace(/^(content|sessions)\//, ''), sha256])),
    figures: says?.figures ?? null,
  };
}
