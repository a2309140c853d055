import { join, relative, sep } from 'node:path';
import { analyseCampaign, type CampaignMemory, resultPath } from '../campaign/analyseCampaign.ts';
import type { KeptCircuit } from '../campaign/campaignCircuit.ts';
import type { EditionRecord } from '../campaign/editions.ts';
import { FileHashes } from '../campaign/fileHashes.ts';
import { InputsOf } from '../campaign/inputs.ts';
import { Kept } from '../campaign/kept.ts';
import { type Folders, loadCampaign } from '../campaign/load.ts';
import {
  type CampaignResult,
  campaignResult,
  type Edition,
  type SessionResult,
  sessionResult,
} from '../campaign/results.ts';
import { steadyTexts } from '../campaign/steadyTexts.ts';
import { type Effects, sha256 } from '../effects.ts';
import type { StoredResults } from '../report/readResults.ts';
import { resultsOf } from '../report/resultsOf.ts';
import { analysisHash, filesBelow } from './codeHash.ts';
import { toolVersion } from './toolVersion.ts';

/** What a build made of a campaign, as it stands in a folder of JSON files: campaign.json, results/, curves/. */
export interface Written extends StoredResults {
  /** Hash of everything in the folder. */
  readonly hash: string;
}

/** What results may be about beside the campaign itself. */
interface Beside {
  /** The edition that they are frozen for. */
  readonly edition?: Edition | null;
  /** Editions that were published, for the pages of evidence. */
  readonly editions?: readonly EditionRecord[];
}

/**
 * Analyses what changed of a campaign since the last build into the cache, and says so. What it writes is what a first
 * build would write, and nothing else stays.
 */
export async function writeResults(
  folders: Folders,
  cache: string,
  asOf: string | null,
  machine: Effects,
  { edition = null, editions = [] }: Beside = {},
): Promise<Written> {
  const effects = steadyTexts(machine);
  const folder = join(cache, 'site');
  const at = (path: string): string => join(folder, path);
  const loaded = await loadCampaign(folders, effects, edition !== null);
  const hashes = new FileHashes(join(cache, 'files.json'), effects);
  await hashes.open();
  const inputsOf = new InputsOf(loaded, await analysisHash(effects), hashes, effects);
  const made = new Kept<readonly string[]>(join(cache, 'sessions'), effects);

  const wanted = new Set([at('campaign.json')]);
  const sessions: SessionResult[] = [];
  let unchanged = 0;
  const memory: CampaignMemory = {
    inputsOf,
    circuits: new Kept<KeptCircuit>(join(cache, 'circuits'), effects),
    findings: new Kept<CampaignResult['findings']>(cache, effects),
    sessions: {
      async find(id, inputs) {
        const { value: files, why } = await made.find(id, inputs);
        if (!files) return { value: null, why };
        const result = await storedResult(at(resultPath(id)), machine);
        const there = await Promise.all(files.map((path) => effects.exists(at(path))));
        if (!result || there.includes(false)) return { value: null, why: 'its result is gone' };
        for (const path of [resultPath(id), ...files]) wanted.add(at(path));
        return { value: result, why };
      },
    },
    async keepSession(result, curves, inputs) {
      // A log that was written to between the hash and the reading belongs to no key.
      const torn = result.runs.some(({ file, sha256 }) => sha256 !== '' && inputs[file] !== sha256);
      if (!torn) await made.keep(result.session, inputs, [...curves.keys()]);
    },
  };
  const analysed = await analyseCampaign(
    loaded,
    { toolVersion: toolVersion(), asOf, keepMaps: true, causes: true, memory, ...(edition ? { edition } : {}) },
    {
      async session(result, curves, why) {
        // Whatever happens on the way, there is no key to a result that is half written.
        await made.forget(result.session);
        const text = json(result);
        const texts = [...curves].map(([path, curve]) => [path, json(curve)] as const);
        for (const [path, content] of [[resultPath(result.session), text] as const, ...texts]) {
          wanted.add(at(path));
          await rewrite(at(path), content, machine);
        }
        // As it will be read from its file, so that no page can tell which build a result is of.
        sessions.push(sessionResult.parse(JSON.parse(text)));
        effects.out(`analysed ${result.session}: ${why}`);
      },
      async unchanged(result, rewritten) {
        if (rewritten) {
          // As it was written and no other order of keys, so that the bytes are those of a first build.
          const path = at(resultPath(result.session));
          const { notes, notesLine } = result;
          await rewrite(path, json({ ...JSON.parse(await machine.text(path)), notes, notesLine }), machine);
          effects.out(`new notes of ${result.session}`);
        }
        sessions.push(result);
        unchanged++;
      },
      campaign: (result) => rewrite(at('campaign.json'), json(result), machine),
    },
    effects,
  );
  if (editions.length > 0) {
    wanted.add(at('editions.json'));
    await rewrite(at('editions.json'), json(editions), machine);
  }
  const known = new Set(sessions.map(({ session }) => session));
  for (const id of await made.names()) {
    if (known.has(id)) continue;
    await made.forget(id);
    effects.out(`removed ${id}: its session is gone`);
  }
  for (const path of await filesBelow(folder, effects)) if (!wanted.has(path)) await effects.remove(path);
  const contents = new Map<string, string>();
  for (const path of [...wanted].sort())
    contents.set(relative(folder, path).replaceAll(sep, '/'), await hashes.of(path));
  await hashes.close();
  if (unchanged > 0) effects.out(`${unchanged} of ${sessions.length} sessions unchanged`);
  const campaign = campaignResult.parse(JSON.parse(json(analysed)));
  return {
    ...resultsOf(campaign, sessions, { folder, editions }),
    hash: sha256([...contents].flat().join('\n')),
    hashes: contents,
  };
}

const json = (value: unknown): string => `${JSON.stringify(value)}\n`;

/** Writes a file whose content differs. */
async function rewrite(path: string, text: string, effects: Effects): Promise<void> {
  const before = await effects.text(path).catch(() => null);
  if (before !== text) await effects.write(path, text);
}

async function storedResult(path: string, effects: Effects): Promise<SessionResult | null> {
  try {
    return sessionResult.parse(JSON.parse(await effects.text(path)));
  } catch {
    return null;
  }
}
