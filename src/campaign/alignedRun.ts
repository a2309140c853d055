import { join, sep } from 'node:path';
import { type AlignedLap, alignLap } from '../align/alignLap.ts';
import { type AlignedRun, alignRun } from '../align/alignRun.ts';
import { type Circuit, readCircuit } from '../circuit/circuit.ts';
import { register } from '../circuit/register.ts';
import type { Effects } from '../effects.ts';
import { cutLaps, type Lap } from '../laps/laps.ts';
import { type Registration, type Trace, traceOf } from '../laps/trace.ts';
import { windowOf } from '../laps/windowOf.ts';
import { largest } from '../numbers/largest.ts';
import type { Problem } from '../problem.ts';
import { joinParts } from '../read/joinParts.ts';
import { readLog } from '../read/log.ts';
import type { ChannelName, Recording } from '../read/recording.ts';
import type { RunSetup } from '../read/sessionFile.ts';
import { kmh } from '../units.ts';

/** A run from its file to its laps by place. */
export interface LaidRun {
  readonly setup: RunSetup;
  readonly file: string;
  readonly recording: Recording | null;
  readonly run: AlignedRun | null;
  readonly laps: readonly { readonly lap: Lap; readonly aligned: AlignedLap | null }[];
  readonly problems: readonly Problem[];
}

/** What the analysis looks at; other channels are listed with their columns and read when something needs them. */
const ANALYSED: ReadonlySet<ChannelName> = new Set<ChannelName>([
  'lat',
  'lon',
  'east',
  'north',
  'speed',
  'heading',
  'roll',
  'pitch',
  'position_sigma',
  'throttle',
  'clutch',
  'brake_front',
  'brake_rear',
  'gear',
  'target_speed',
  'target_offset',
]);

/** A simulator's circuit may lie off the campaign's by this much, m. */
export const FRAME_RESIDUAL_M = 0.3;

/** A lap laid by itself takes this much of the run on both sides along, so that its first and last corner are whole, s. */
const MARGIN_S = 20;
/** Times by the gate alone may put a lap this much too far back or to the front, s. */
const NEAR_BEST_S = 0.1;

/** Which laps of a run are laid: all, or, for somebody who waits, one by its number or the best (null). */
export type WantedLaps = 'all' | { readonly lap: number | null };

/** Reads a run's log and lays it on its circuit. Whatever goes wrong is a problem of this run alone. */
export async function layRun(
  folder: string,
  id: string,
  setup: RunSetup,
  circuit: Circuit,
  effects: Effects,
  wanted: WantedLaps = 'all',
): Promise<LaidRun> {
  const [name = ''] = setup.files;
  const file = `${id}/${name}`;
  const failed = (problems: readonly Problem[], recording: Recording | null = null): LaidRun => ({
    setup,
    file: name,
    recording,
    run: null,
    laps: [],
    problems,
  });
  const parts: Recording[] = [];
  const all: Problem[] = [];
  for (const part of setup.files) {
    if (await leaves(folder, part, effects)) {
      all.push({
        code: 'FILE_OUTSIDE',
        severity: 'stop',
        place: { file: `${id}/${part}`, line: setup.line },
        found: 'a link that leads out of the session’s folder',
        expected: 'a file in the folder',
        remedy: 'copy the log into the folder',
      });
      return failed(all);
    }
    const read = await readLog(
      {
        path: join(folder, part),
        file: `${id}/${part}`,
        columns: setup.columns,
        decimal: setup.decimal,
        channels: ANALYSED,
      },
      effects,
    );
    all.push(...read.problems);
    // One part that cannot be read would leave a hole that nobody sees.
    if (!read.recording || read.recording.rows === 0) return failed(all, read.recording);
    parts.push(read.recording);
  }
  let [recording = null] = parts;
  if (parts.length > 1) {
    const joined = joinParts(parts, file);
    all.push(...joined.problems);
    recording = joined.recording;
  }
  if (!recording) return failed(all);
  const registration = await registrationOf(folder, id, setup, circuit, effects, all);
  // A frame that was asked for and cannot be had is said once, by itself.
  if (setup.frameCircuit !== null && registration === null) return failed(all, recording);
  const { trace, problems: more } = traceOf(recording, setup, circuit.plane, registration);
  all.push(...more);
  if (!trace) return failed(all, recording);
  const cut = cutLaps(trace, circuit.gate, setup);
  if (wanted !== 'all') {
    const few = likely(cut, wanted.lap);
    const laps = cut.map((lap) => ({ lap, aligned: few.includes(lap) ? alone(trace, circuit, lap) : null }));
    const valid = laps.find(({ aligned }) => aligned?.reasons.length === 0 && aligned.timeS !== null);
    if (valid?.aligned) return { setup, file: name, recording, run: valid.aligned.run, laps, problems: all };
  }
  const run = alignRun(trace, circuit);
  const laps = cut.map((lap) => ({ lap, aligned: alignLap(run, lap) }));
  if (!laps.some(({ lap }) => lap.fromGate))
    all.push({
      code: 'GATE_NOT_CROSSED',
      severity: setup.kind === 'laps' ? 'warn' : 'note',
      place: { file },
      found: 'no crossing of the gate in the direction of travel, between its posts',
      expected: `a run round ${circuit.name}, at up to ${kmh(largest(run.speedMps)).toFixed(0)} km/h as logged`,
      remedy: 'check the circuit of the session, the direction of its line, and where the gate stands',
    });
  return { setup, file: name, recording, run, laps, problems: all };
}

/** The laps that may be the best: whole, with nothing against them in the log, as quick as the quickest by the gate. */
function likely(laps: readonly Lap[], number: number | null): readonly Lap[] {
  if (number !== null) return laps.filter((lap) => lap.number === number);
  const whole = laps.filter((lap) => lap.fromGate && lap.toGate && lap.reasons.length === 0);
  const flying = whole.filter((lap) => lap.kind === 'flying');
  const pool = flying.length > 0 ? flying : whole;
  const best = Math.min(...pool.map((lap) => lap.endS - lap.startS));
  return pool.filter((lap) => lap.endS - lap.startS <= best + NEAR_BEST_S);
}

/** One lap, laid without the rest of its run. */
function alone(trace: Trace, circuit: Circuit, lap: Lap): AlignedLap | null {
  return alignLap(alignRun(windowOf(trace, lap.startS - MARGIN_S, lap.endS + MARGIN_S), circuit), lap);
}

/** Whether a file, with all links followed, lies outside its folder. */
async function leaves(folder: string, name: string, effects: Effects): Promise<boolean> {
  const [home, target] = [await effects.real(folder), await effects.real(join(folder, name))];
  return (await effects.exists(target)) && !target.startsWith(home + sep);
}

async function registrationOf(
  folder: string,
  id: string,
  setup: RunSetup,
  circuit: Circuit,
  effects: Effects,
  problems: Problem[],
): Promise<Registration | null> {
  const name = setup.frameCircuit;
  if (name === null) return null;
  const file = `${id}/${name}`;
  const path = join(folder, name);
  const bad = (
    code: 'FILE_MISSING' | 'FILE_OUTSIDE' | 'FRAME_RESIDUAL',
    found: string,
    expected: string,
    remedy: string,
  ): null => {
    problems.push({ code, severity: 'stop', place: { file, key: 'frame.circuit' }, found, expected, remedy });
    return null;
  };
  if (name.split(/[\\/]/).includes('..') || (await leaves(folder, name, effects)))
    return bad('FILE_OUTSIDE', `\`${name}\``, 'a file in the folder', 'copy the circuit beside the log');
  if (!(await effects.exists(path)))
    return bad(
      'FILE_MISSING',
      'no such file',
      'the circuit in the coordinates of the log',
      'export it from the simulator: `gapbook new circuit --edges …`',
    );
  const own = readCircuit(await effects.text(path), file, id);
  problems.push(...own.problems);
  if (!own.circuit) return null;
  const move = register(own.circuit, circuit);
  if (move.residualM > FRAME_RESIDUAL_M)
    return bad(
      'FRAME_RESIDUAL',
      `lines that stay ${move.residualM.toFixed(2)} m apart (root mean square) when laid over each other`,
      `${FRAME_RESIDUAL_M} m or less`,
      'the simulator’s circuit is not this circuit, or not at its scale',
    );
  return move;
}
