import { join } from 'node:path';
import { phaseMapText } from '../circuit/phases.ts';
import { type Effects, sha256 } from '../effects.ts';
import type { LaidRun } from './alignedRun.ts';
import type { LoadedCampaign } from './load.ts';
import type { Reference } from './reference.ts';
import type { SessionResult } from './results.ts';

type Files = Readonly<Record<string, string>>;

/** Hash of a file that is not there, or of which nothing could be read. */
const NOTHING = 'nothing';

/** The files of a run with their hashes: its log, and the simulator's own circuit where it has one. */
export async function runFiles(folder: string, id: string, laid: LaidRun, effects: Effects): Promise<Files> {
  const frame = laid.setup.frameCircuit;
  const text = frame === null ? null : await effects.text(join(folder, frame)).catch(() => null);
  return {
    // Of a log in parts, the hash of the parts' hashes.
    [`${id}/${laid.file}`]: laid.recording?.sha256 ?? NOTHING,
    ...(frame === null ? {} : { [`${id}/${frame}`]: text === null ? NOTHING : sha256(text) }),
  };
}

/** What the reference lap of a circuit is taken from: the choice in campaign.md, its session's file, its logs. */
export async function referenceFiles(
  loaded: LoadedCampaign,
  circuitId: string,
  runs: readonly LaidRun[],
  effects: Effects,
): Promise<Files> {
  const choice = loaded.campaign.reference(circuitId);
  const home = loaded.sessions.find(({ id }) => id === choice?.session);
  const logs = home ? await Promise.all(runs.map((run) => runFiles(home.folder, home.id, run, effects))) : [];
  return Object.assign(
    { [`campaign.md, reference of ${circuitId}`]: sha256(JSON.stringify(choice)) },
    home ? { [`${home.id}/session.md`]: loaded.hashes.get(`${home.id}/session.md`) ?? NOTHING } : {},
    ...logs,
  );
}

/** What the numbers of a session stand on, beside the logs of its runs. */
export async function sessionFiles(
  loaded: LoadedCampaign,
  id: string,
  circuitId: string,
  reference: Reference | null,
  effects: Effects,
): Promise<SessionResult['inputs']> {
  const of = (file: string): Files => ({ [file]: loaded.hashes.get(file) ?? NOTHING });
  const phases = `circuits/${circuitId}.phases.yaml`;
  // A proposed map is written as it stands here, so that the file that is made from it is nothing new.
  const proposed = !loaded.hashes.has(phases) && reference?.map ? sha256(phaseMapText(reference.map)) : null;
  return {
    session: of(`${id}/session.md`),
    circuit: of(`circuits/${circuitId}.geojson`),
    phaseMap: proposed === null ? of(phases) : { [phases]: proposed },
    reference: reference?.inputs ?? (await referenceFiles(loaded, circuitId, [], effects)),
  };
}
