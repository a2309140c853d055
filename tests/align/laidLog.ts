import { createHash } from 'node:crypto';
import { type AlignedLap, alignLap } from '../../src/align/alignLap.ts';
import { type AlignedRun, alignRun } from '../../src/align/alignRun.ts';
import type { Circuit } from '../../src/circuit/circuit.ts';
import { cutLaps, type Lap } from '../../src/laps/laps.ts';
import { type Trace, traceOf } from '../../src/laps/trace.ts';
import type { Problem } from '../../src/problem.ts';
import { ColumnMap } from '../../src/read/columns.ts';
import { type ChannelName, channelKind, type Recording } from '../../src/read/recording.ts';
import type { PositionSetup, RunSetup } from '../../src/read/sessionFile.ts';
import type { Simulated } from '../simulator/simulateRun.ts';

/** A log in memory that tests may spoil, and where the machine really was at each of its rows. */
export interface Log {
  readonly rows: Record<string, Float64Array>;
  readonly stationM: Float64Array;
  readonly offsetM: Float64Array;
  /** When it really was there, on a clock that nothing spoils. */
  readonly momentS: Float64Array;
}

export function logOf({ rows, truth }: Simulated): Log {
  return {
    rows: Object.fromEntries(Object.entries(rows).map(([name, values]) => [name, values.slice()])),
    stationM: truth.stationOfRow,
    offsetM: truth.offsetOfRow,
    momentS: rows['time']!.slice(),
  };
}

/** The log with its rows picked anew: left out, repeated, in another order. */
export function picked(log: Log, rows: readonly number[]): Log {
  const pick = (values: Float64Array) => Float64Array.from(rows, (i) => values[i]!);
  return {
    rows: Object.fromEntries(Object.entries(log.rows).map(([name, values]) => [name, pick(values)])),
    stationM: pick(log.stationM),
    offsetM: pick(log.offsetM),
    momentS: pick(log.momentS),
  };
}

/** The rows that a condition holds for. */
export function where(log: Log, holds: (row: number) => boolean): Log {
  return picked(
    log,
    [...log.momentS.keys()].filter((i) => holds(i)),
  );
}

/** The log without some channels. */
export function without(log: Log, ...names: string[]): Log {
  return { ...log, rows: Object.fromEntries(Object.entries(log.rows).filter(([name]) => !names.includes(name))) };
}

export type SetupKeys = Partial<Omit<RunSetup, 'position'>> & { readonly position?: Partial<PositionSetup> };

export function setupOf({ position, ...keys }: SetupKeys = {}): RunSetup {
  return {
    files: ['run.csv'],
    line: 1,
    kind: 'laps',
    stage: 'track',
    circuit: 'course',
    rider: 'one',
    controller: null,
    configuration: {},
    axes: 'level',
    emulated: [],
    speedLimitMps: null,
    machine: null,
    incidents: [],
    official: new Map(),
    columns: new ColumnMap(),
    decimal: undefined,
    frameCircuit: null,
    ...keys,
    position: { antennaM: [0, 0, 0], latencyS: 0, shiftM: [0, 0], sigmaM: 0.02, ...position },
  };
}

function hashOf(channels: readonly Float64Array[]): string {
  const hash = createHash('sha256');
  for (const { buffer, byteOffset, byteLength } of channels)
    hash.update(new Uint8Array(buffer, byteOffset, byteLength));
  return hash.digest('hex');
}

/** What the reader would have made of the rows. */
export function recordingOf({ rows }: Log): Recording {
  const { time, ...others } = rows;
  const known = Object.entries(others).filter(([name]) => channelKind(name) !== null) as [ChannelName, Float64Array][];
  return {
    file: 'run.csv',
    sha256: hashOf(Object.values(rows)),
    bytes: 0,
    rows: time!.length,
    timeS: time!,
    epochS: null,
    channels: new Map(known),
    columns: known.map(([name]) => {
      const [inside = ''] = channelKind(name)!.units;
      return { name, column: name, unit: inside, inside };
    }),
    otherColumns: [],
    lineOfRow: (row) => row + 2,
    problems: [],
  };
}

export interface LaidLog {
  readonly log: Log;
  readonly trace: Trace;
  readonly run: AlignedRun;
  readonly laps: readonly Lap[];
  /** Laps by place, by number. */
  readonly aligned: ReadonlyMap<number, AlignedLap>;
  readonly problems: readonly Problem[];
}

/** A log through trace, alignment and laps. */
export function laid(log: Log, circuit: Circuit, keys: SetupKeys = {}): LaidLog {
  const setup = setupOf(keys);
  const { trace, problems } = traceOf(recordingOf(log), setup, circuit.plane, null);
  if (!trace) throw new Error(JSON.stringify(problems));
  const run = alignRun(trace, circuit);
  const laps = cutLaps(trace, circuit.gate, setup);
  const aligned = new Map(
    laps.flatMap((lap) => {
      const one = alignLap(run, lap);
      return one ? [[lap.number, one] as const] : [];
    }),
  );
  return { log, trace, run, laps, aligned, problems };
}

/** How far stations are off the truth over the rows that have one, m. */
export interface StationErrors {
  readonly medianM: number;
  readonly maxM: number;
  /** Rows without a place. */
  readonly lost: number;
}

/**
 * Compares the stations of a run with the truth, row by row, at the moment of each row.
 *
 * @param counts which rows are compared, by true station (counted on over the laps)
 */
export function stationErrors(
  { log, run, trace }: LaidLog,
  counts: (stationM: number) => boolean = () => true,
): StationErrors {
  const { stationM, circuit } = run;
  // The rows in order of time, with the truth that the log carried along.
  const rowOf = trace.clock.row;
  const errors: number[] = [];
  let lost = 0;
  let k = 0;
  for (let i = 0; i < stationM.length; i++) {
    let truth: number;
    if (run.row[i]! >= 0) truth = log.stationM[rowOf[run.row[i]!]!]!;
    else {
      while (k < trace.timeS.length - 2 && trace.timeS[k + 1]! < run.timeS[i]!) k++;
      const [s0, s1] = [log.stationM[rowOf[k]!]!, log.stationM[rowOf[k + 1]!]!];
      const share = (run.timeS[i]! - trace.timeS[k]!) / (trace.timeS[k + 1]! - trace.timeS[k]!);
      truth = s0 + share * (s1 - s0);
    }
    if (!counts(truth)) continue;
    if (Number.isNaN(stationM[i]!)) lost++;
    else errors.push(stationM[i]! - truth);
  }
  // Which lap is counted as the first is a convention; within the run it must stay the same.
  const middle = errors.toSorted((a, b) => a - b)[errors.length >> 1] ?? 0;
  const base = circuit.lengthM * Math.round(middle / circuit.lengthM);
  const sizes = errors.map((e) => Math.abs(e - base)).sort((a, b) => a - b);
  return { medianM: sizes[sizes.length >> 1] ?? 0, maxM: sizes.at(-1) ?? 0, lost };
}

/** What became of the rows of a log. */
export function accountOf({ log, run, trace }: LaidLog): Record<string, number> {
  const outlier = run.outlier.reduce((sum, v) => sum + v, 0);
  const offLine = run.path.stationM.filter((s, j) => Number.isNaN(s) && run.outlier[j] === 0).length;
  return {
    rows: log.momentS.length,
    used: run.path.stationM.filter((s, j) => !Number.isNaN(s) && run.outlier[j] === 0).length,
    held: trace.held,
    outlier,
    offLine,
    noPosition: trace.noPosition,
    repeated: trace.clock.repeated,
    noTime: trace.clock.noTime,
  };
}

/** The two logs one after the other, the second so many seconds later and so many metres farther on. */
export function joined(a: Log, b: Log, laterS: number, fartherM: number): Log {
  const both = (x: Float64Array, y: Float64Array): Float64Array => Float64Array.from([...x, ...y]);
  const later = (values: Float64Array): Float64Array => values.map((t) => t + laterS);
  const names = Object.keys(a.rows).filter((name) => b.rows[name]);
  return {
    rows: Object.fromEntries(
      names.map((name) => [name, both(a.rows[name]!, name === 'time' ? later(b.rows[name]!) : b.rows[name]!)]),
    ),
    stationM: both(
      a.stationM,
      b.stationM.map((s) => s + fartherM),
    ),
    offsetM: both(a.offsetM, b.offsetM),
    momentS: both(a.momentS, later(b.momentS)),
  };
}

/** The log with the machine standing for a while at one of its rows; what follows comes later. */
export function stopped(log: Log, row: number, seconds: number, stepS: number): Log {
  const count = Math.round(seconds / stepS);
  const longer = (values: Float64Array, stand: (k: number) => number, after = 0): Float64Array =>
    Float64Array.from([
      ...values.subarray(0, row),
      ...Array.from({ length: count }, (_, k) => stand(k)),
      ...values.subarray(row).map((v) => v + after),
    ]);
  const times = (values: Float64Array): Float64Array => longer(values, (k) => values[row]! + k * stepS, count * stepS);
  const still = (values: Float64Array, value = values[row]!): Float64Array => longer(values, () => value);
  return {
    rows: Object.fromEntries(
      Object.entries(log.rows).map(([name, values]) => [
        name,
        name === 'time' ? times(values) : still(values, name === 'speed' ? 0 : values[row]!),
      ]),
    ),
    stationM: still(log.stationM),
    offsetM: still(log.offsetM),
    momentS: times(log.momentS),
  };
}
