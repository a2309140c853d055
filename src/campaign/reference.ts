import { join } from 'node:path';
import type { AlignedLap } from '../align/alignLap.ts';
import { type PhaseMap, phaseMapText } from '../circuit/phases.ts';
import type { Effects } from '../effects.ts';
import type { Problem } from '../problem.ts';
import { proposePhases } from '../technique/proposePhases.ts';
import { type LaidRun, layRun } from './alignedRun.ts';
import { judged } from './judge.ts';
import type { LoadedCampaign } from './load.ts';
import { referenceFiles } from './standsOn.ts';

/** The reference lap of a circuit, the reference rider's other laps, and the phase map that goes with them. */
export interface Reference {
  readonly session: string;
  readonly run: string;
  readonly lap: AlignedLap;
  readonly rider: string;
  /** Every valid whole lap of the same kind, the reference lap among them. */
  readonly laps: readonly { readonly run: string; readonly lap: AlignedLap }[];
  readonly map: PhaseMap | null;
  /** Its runs laid whole: its session need not lay them again. Empty where the reference lap alone was laid. */
  readonly runs: readonly LaidRun[];
  /** What it was taken from: files and their hashes. */
  readonly inputs: Readonly<Record<string, string>>;
}

/** The reference lap as results name it. */
export function nameOf({ session, run, lap, rider }: Reference) {
  return { session, run, lap: lap.lap.number, timeS: lap.timeS!, rider };
}

/**
 * Finds the reference lap that campaign.md names for a circuit, and reads or proposes the phase map.
 *
 * @param quick lay only the reference lap itself, where the phase map is there; for somebody who waits
 * @returns null with problems where there is none; then laps are cut and timed, but there is no gap
 */
export async function referenceOf(
  loaded: LoadedCampaign,
  circuitId: string,
  effects: Effects,
  quick = false,
): Promise<{ reference: Reference | null; problems: Problem[] }> {
  const circuit = loaded.circuits.get(circuitId);
  const choice = loaded.campaign.reference(circuitId);
  if (!circuit) return { reference: null, problems: [] };
  const missing = (found: string, remedy: string): { reference: null; problems: Problem[] } => ({
    reference: null,
    problems: [
      {
        code: 'REFERENCE_MISSING',
        severity: 'stop',
        place: { file: 'campaign.md', key: 'reference' },
        found,
        expected: `a valid lap of the reference rider on ${circuit.name}: \`reference: <session>[/<run>[/<lap>]]\``,
        remedy,
      },
    ],
  });
  if (!choice) return missing('no reference for this circuit', 'name one; without it there are lap times but no gap');
  const lapOnly = quick && loaded.phaseMaps.has(circuitId);
  const home = loaded.sessions.find(({ id }) => id === choice.session);
  if (!home?.session)
    return missing(`the session \`${choice.session}\`, which is not there or cannot be used`, 'correct the name');
  const runs: LaidRun[] = [];
  for (const setup of home.session.runs)
    if ((choice.run === null || setup.files[0] === choice.run) && setup.circuit === circuitId && setup.kind === 'laps')
      runs.push(await layRun(home.folder, home.id, setup, circuit, effects, lapOnly ? { lap: choice.lap } : 'all'));
  const candidates = runs.flatMap((run) =>
    judged(run, home.session!.choices)
      .filter(({ valid, aligned }) => valid && aligned?.timeS !== null)
      .flatMap(({ aligned }) => (aligned ? [{ run: run.file, lap: aligned, rider: run.setup.rider }] : [])),
  );
  const wanted = choice.lap === null ? candidates : candidates.filter(({ lap }) => lap.lap.number === choice.lap);
  // A flying lap wherever there is one: standing laps serve only where nothing else was ridden.
  const flying = wanted.filter(({ lap }) => lap.lap.kind === 'flying');
  const [best] = (flying.length > 0 ? flying : wanted).toSorted((x, y) => x.lap.timeS! - y.lap.timeS!);
  if (!best)
    return missing(
      `no valid lap in \`${[choice.session, choice.run, choice.lap].filter((x) => x !== null).join('/')}\``,
      'look at the reasons against its laps with `gapbook check`, or name another session',
    );
  const laps = candidates.filter(({ lap, rider }) => lap.lap.kind === best.lap.lap.kind && rider === best.rider);
  const problems: Problem[] = [];
  let map = loaded.phaseMaps.get(circuitId) ?? null;
  if (map === null && !loaded.brokenMaps.has(circuitId)) {
    map = proposePhases(
      circuit,
      laps.map(({ lap }) => lap),
      `${choice.session}, ${laps.length} lap(s)`,
      1,
    );
    if (map) loaded.phaseMaps.set(circuitId, map);
    else
      problems.push({
        code: 'PHASES_INVALID',
        severity: 'stop',
        place: { file: `circuits/${circuitId}.phases.yaml` },
        found: 'no corner in the reference’s laps',
        expected: 'at least one bend that the line shows at the reference’s speed',
        remedy: 'check the reference line, or write the phase map by hand',
      });
  }
  return {
    reference: {
      session: choice.session,
      run: best.run,
      lap: best.lap,
      rider: best.rider,
      laps,
      map,
      runs: lapOnly ? [] : runs,
      inputs: await referenceFiles(loaded, circuitId, runs, effects),
    },
    problems,
  };
}

/** Writes a proposed phase map beside its circuit, once; a folder that cannot be written is a note. */
export async function keepPhaseMap(loaded: LoadedCampaign, circuitId: string, effects: Effects): Promise<Problem[]> {
  const map = loaded.phaseMaps.get(circuitId);
  const file = `circuits/${circuitId}.phases.yaml`;
  const path = join(loaded.folders.content, file);
  if (!map || (await effects.exists(path))) return [];
  try {
    await effects.write(path, phaseMapText(map));
    return [];
  } catch (error) {
    return [
      {
        code: 'PHASES_UNWRITABLE',
        severity: 'warn',
        place: { file },
        found: error instanceof Error && 'code' in error ? String(error.code) : 'a file that cannot be written',
        expected: 'a content folder that can be written, so that boundaries stay the same from week to week',
        remedy: 'the proposed map is used this time; run `gapbook new phases` where the folder can be written',
      },
    ];
  }
}
