import type { Plane } from '../circuit/plane.ts';
import { gather } from '../numbers/gather.ts';
import { linearAt } from '../numbers/interpolate.ts';
import { median } from '../numbers/quantile.ts';
import type { Problem } from '../problem.ts';
import type { ChannelName, Recording } from '../read/recording.ts';
import type { RunSetup, Stage } from '../read/sessionFile.ts';
import { degrees } from '../units.ts';
import { impossibleLean, MOST_LEAN_RAD } from './believableLean.ts';
import { type Clock, orderedClock } from './clock.ts';
import { levelForces, levelYawRate, leverArm } from './frames.ts';

/** Fresh positions only, of the ground point, each at the time at which it was true. */
export interface Fixes {
  /** (m,) strictly rising, s. */
  readonly timeS: Float64Array;
  readonly eastM: Float64Array;
  readonly northM: Float64Array;
  /** (m,) one standard deviation, m. */
  readonly sigmaM: Float64Array;
}

/** How good the positions of a run are. */
export interface PositionQuality {
  readonly sigmaM: number;
  readonly sigmaFrom: 'log' | 'session' | 'stage' | 'assumed';
  /** Unknown constant displacement along the machine, one standard deviation, m. */
  readonly shiftSigmaM: number;
}

/** A run on one clock, in one frame: what laps are cut from. */
export interface Trace {
  readonly recording: Recording;
  readonly clock: Clock;
  /** (n,) strictly rising, s; the rows that carry the channels. */
  readonly timeS: Float64Array;
  /** (n,) m/s, or null where the run has no usable speed. */
  readonly speedMps: Float64Array | null;
  readonly fixes: Fixes;
  readonly quality: PositionQuality;
  /** Rows whose position repeats an earlier one, and rows without a position. */
  readonly held: number;
  readonly noPosition: number;
  /** (n,) a channel in the order of `timeS`, level axes, SI; null where it is not in the log. */
  channel(name: ChannelName): Float64Array | null;
  readonly problems: readonly Problem[];
}

/** Turns local coordinates of a log into those of the circuit. */
export interface Registration {
  /** Rotation, rad, then shift, m. */
  readonly turnRad: number;
  readonly eastM: number;
  readonly northM: number;
}

/** One standard deviation of a position nobody described, m. */
export const ASSUMED_POSITION_SIGMA_M = 0.5;
/** Positions of a simulation are its own state. */
export const SIMULATED_POSITION_SIGMA_M = 0.001;
/** Where the antenna's place is unknown, it may be this far fore or aft, m. */
export const UNKNOWN_ARM_SIGMA_M = 1;
/** Left over of an arm that was measured, and of the datum, m. */
export const KNOWN_ARM_SIGMA_M = 0.02;

/**
 * Puts a recording on one clock and its positions on the ground point of the machine.
 *
 * @param plane the circuit's plane; null where the circuit is in metres of its own
 * @param registration for logs in coordinates of their own; null where they are those of the circuit
 * @returns null with the problems where time or position are not there
 */
export function traceOf(
  recording: Recording,
  setup: RunSetup,
  plane: Plane | null,
  registration: Registration | null,
): { trace: Trace | null; problems: Problem[] } {
  const problems: Problem[] = [];
  const { file } = recording;
  const clock = orderedClock(recording.timeS);
  const line = (row: number): { line?: number } =>
    recording.lineOfRow && row >= 0 ? { line: recording.lineOfRow(row) } : {};
  if (clock.reordered > 0)
    problems.push({
      code: 'TIME_ORDER',
      severity: 'warn',
      place: { file, ...line(clock.firstReordered) },
      found: `${clock.reordered} row(s) with a stamp before that of an earlier row`,
      expected: 'rising stamps',
      remedy: 'they are used at their time; if the logger writes several streams, export it sorted by time',
    });
  if (clock.repeated > 0)
    problems.push({
      code: 'TIME_REPEATED',
      severity: clock.repeated > recording.rows / 20 ? 'warn' : 'note',
      place: { file, ...line(clock.firstRepeated) },
      found: `${clock.repeated} row(s) with the stamp of an earlier row`,
      expected: 'one row a stamp',
      remedy: 'the first row of each stamp is used; if stamps are rounded, export more digits',
    });
  for (const gap of clock.breaks)
    problems.push({
      code: 'TIME_BACK',
      severity: 'warn',
      place: { file, ...line(gap.row) },
      found: `stamps that fall back by ${gap.backS.toFixed(3)} s and go on from there`,
      expected: 'rising stamps',
      remedy:
        'the laps before and after are used, the lap across is not; if the logger restarted, give its two parts as two runs',
    });

  const cache = new Map<ChannelName, Float64Array | null>();
  const roll = recording.channels.get('roll');
  const wildLean = roll ? impossibleLean(roll) : null;
  if (wildLean !== null)
    problems.push({
      code: 'CHANNEL_IMPLAUSIBLE',
      severity: 'warn',
      place: { file, column: recording.columns.find(({ name }) => name === 'roll')?.column ?? 'roll' },
      found: `a roll of up to ${degrees(wildLean).toFixed(0)}°`,
      expected: `at most ${degrees(MOST_LEAN_RAD).toFixed(0)}°, but for single rows`,
      remedy: 'check the unit and what the column holds; until then it is not used',
    });
  // A log in order keeps its columns as they are: they are not to be changed.
  const inOrder = clock.row.length === recording.rows && clock.reordered === 0;
  const plain = (name: ChannelName): Float64Array | null => {
    if (name === 'roll' && wildLean !== null) return null;
    const values = recording.channels.get(name);
    return values ? (inOrder ? values : gather(values, clock.row)) : null;
  };
  const wantsLevel = ['acc_long', 'acc_lat', 'acc_vert', 'yaw_rate'] as const;
  const logged = new Set(recording.columns.map(({ name }) => name));
  if (setup.axes === null && wantsLevel.some((name) => logged.has(name)))
    problems.push({
      code: 'AXES_UNKNOWN',
      severity: 'note',
      place: { file, key: 'axes' },
      found: `accelerations or rates (${wantsLevel.filter((name) => logged.has(name)).join(', ')}) without their axes`,
      expected: '`axes: body` (the sensor leans with the machine) or `axes: level`',
      remedy: 'add it to the run; until then these channels are not used',
    });
  const channel = (name: ChannelName): Float64Array | null => {
    if (!cache.has(name)) {
      if ((wantsLevel as readonly string[]).includes(name))
        for (const [key, values] of levelled()) cache.set(key, values);
      else cache.set(name, plain(name));
    }
    return cache.get(name) ?? null;
  };
  const levelled = (): [ChannelName, Float64Array | null][] => {
    const [long, lat, vert, yaw] = wantsLevel.map((name) => plain(name)?.slice() ?? null) as [
      Float64Array | null,
      Float64Array | null,
      Float64Array | null,
      Float64Array | null,
    ];
    const none = wantsLevel.map((name): [ChannelName, null] => [name, null]);
    if (setup.axes === null) return none;
    const roll = plain('roll');
    if (setup.axes === 'body') {
      if (roll === null) return none;
      if (long && lat && vert) levelForces(long, lat, vert, roll, plain('pitch'));
      if (yaw) levelYawRate(yaw, roll);
      if (!(long && lat && vert))
        return [
          ['acc_long', null],
          ['acc_lat', null],
          ['acc_vert', null],
          ['yaw_rate', yaw],
        ];
    }
    return [
      ['acc_long', long],
      ['acc_lat', lat],
      ['acc_vert', vert],
      ['yaw_rate', yaw],
    ];
  };

  const place = positions(recording, plane, registration, problems);
  if (place === null) return { trace: null, problems };
  const { timeS } = clock;
  const { fresh, rowOfFix, held, noPosition, ...found } = freshPositions(clock, place, setup);
  if (held > 0.2 * timeS.length && !recording.channels.has('speed'))
    problems.push({
      code: 'POSITION_HELD',
      severity: 'warn',
      place: { file },
      found: `${held} of ${recording.rows} rows that repeat the position of an earlier row`,
      expected: 'a fresh position a row, or a receiver slower than the log',
      remedy: 'only fresh positions count; with a `speed` channel the speed would carry between them',
    });
  if (fresh < 10) {
    problems.push({
      code: 'CHANNEL_MISSING',
      severity: 'stop',
      place: { file },
      found: `${fresh} different position(s) in the whole log`,
      expected: 'positions along the laps',
      remedy: 'check that the receiver had a fix, and that the right columns are named',
    });
    return { trace: null, problems };
  }
  const quality = positionQuality(recording, setup, plain('position_sigma'), problems);
  const sigmaColumn = setup.position.sigmaM === null ? plain('position_sigma') : null;
  const fixes: Fixes = { ...found, sigmaM: sigmas(sigmaColumn, rowOfFix, quality.sigmaM) };
  const arm = setup.position.antennaM;
  if (arm && (arm[0] !== 0 || arm[1] !== 0 || arm[2] !== 0))
    removeArm(fixes, arm, timeS, plain('roll'), plain('pitch'), plain('heading'));

  const speed = setup.emulated.includes('speed') ? null : plain('speed');
  return {
    trace: {
      recording,
      clock,
      timeS,
      speedMps: speed,
      fixes,
      quality,
      held,
      noPosition,
      channel,
      problems,
    },
    problems,
  };
}

/** Rows that bring a new position, at the time at which it was true; how many repeat one or have none. */
function freshPositions(clock: Clock, place: { eastM: Float64Array; northM: Float64Array }, setup: RunSetup) {
  const { timeS, row } = clock;
  const { shiftM, latencyS } = setup.position;
  const n = timeS.length;
  const eastM = new Float64Array(n);
  const northM = new Float64Array(n);
  const at = new Float64Array(n);
  const rowOfFix = new Uint32Array(n);
  let fresh = 0;
  let held = 0;
  let noPosition = 0;
  let lastEast = Number.NaN;
  let lastNorth = Number.NaN;
  for (let i = 0; i < n; i++) {
    const east = place.eastM[row[i]!]! + shiftM[0];
    const north = place.northM[row[i]!]! + shiftM[1];
    if (Number.isNaN(east) || Number.isNaN(north)) noPosition++;
    else if (east === lastEast && north === lastNorth) held++;
    else {
      lastEast = eastM[fresh] = east;
      lastNorth = northM[fresh] = north;
      at[fresh] = timeS[i]! - latencyS;
      rowOfFix[fresh++] = i;
    }
  }
  return {
    // One array for both where they are the same: what is asked at the rows is then known without search.
    timeS: fresh === n && latencyS === 0 ? timeS : at.subarray(0, fresh),
    eastM: eastM.subarray(0, fresh),
    northM: northM.subarray(0, fresh),
    rowOfFix: rowOfFix.subarray(0, fresh),
    fresh,
    held,
    noPosition,
  };
}

function sigmas(logged: Float64Array | null, rowOfFix: Uint32Array, otherwise: number): Float64Array {
  const out = new Float64Array(rowOfFix.length).fill(otherwise);
  for (let k = 0; logged && k < out.length; k++) {
    // A sigma of zero or none is a missing value, not a perfect position.
    const own = logged[rowOfFix[k]!]!;
    if (own > 0) out[k] = own;
  }
  return out;
}

function positions(
  recording: Recording,
  plane: Plane | null,
  registration: Registration | null,
  problems: Problem[],
): { eastM: Float64Array; northM: Float64Array } | null {
  const { channels, file } = recording;
  const lat = channels.get('lat');
  const lon = channels.get('lon');
  if (lat && lon && plane) {
    const place = plane.eastNorth(lat, lon);
    // No logger was there: it is what a receiver without a fix writes.
    for (let i = 0; i < lat.length; i++)
      if (lat[i] === 0 && lon[i] === 0) place.eastM[i] = place.northM[i] = Number.NaN;
    return place;
  }
  const east = channels.get('east');
  const north = channels.get('north');
  if (east && north && (plane === null || registration !== null)) {
    if (registration === null) return { eastM: east, northM: north };
    const { turnRad, eastM, northM } = registration;
    const c = Math.cos(turnRad);
    const s = Math.sin(turnRad);
    return {
      eastM: east.map((e, i) => c * e - s * north[i]! + eastM),
      northM: east.map((e, i) => s * e + c * north[i]! + northM),
    };
  }
  problems.push(
    east && north
      ? {
          code: 'FRAME_MISSING',
          severity: 'stop',
          place: { file },
          found: 'positions in metres (`east`, `north`) on a circuit in degrees',
          expected: 'the circuit in the same metres, to lay one over the other',
          remedy: 'add to the run: `frame: { circuit: sim-circuit.geojson }`, a file beside the log',
        }
      : {
          code: 'CHANNEL_MISSING',
          severity: 'stop',
          place: { file },
          found: `no position among ${recording.columns.map(({ name }) => `\`${name}\``).join(', ')}`,
          expected: plane === null ? 'columns `east [m]` and `north [m]`' : 'columns `lat [deg]` and `lon [deg]`',
          remedy: 'name them in the session file under `columns:`',
        },
  );
  return null;
}

const simulated: ReadonlySet<Stage> = new Set(['simulation', 'bench']);

function positiveOf(values: Float64Array): Float64Array {
  const out = new Float64Array(values.length);
  let count = 0;
  for (let i = 0; i < values.length; i++) if (values[i]! > 0) out[count++] = values[i]!;
  return out.subarray(0, count);
}

function positionQuality(
  recording: Recording,
  setup: RunSetup,
  logged: Float64Array | null,
  problems: Problem[],
): PositionQuality {
  const simulation = simulated.has(setup.stage);
  const arm = setup.position.antennaM !== null;
  const { file } = recording;
  if (!arm && !simulation)
    problems.push({
      code: 'ANTENNA_UNKNOWN',
      severity: 'warn',
      place: { file, key: 'position.antenna' },
      found: 'nothing on where the antenna sits',
      expected: '`position: { antenna: [forward, left, up] }` in metres from the ground point below the mass centre',
      remedy: `measure it and add it to the run; until then ${UNKNOWN_ARM_SIGMA_M} m fore or aft enters the uncertainty, about 37 ms in a hairpin`,
    });
  const shiftSigmaM = simulation ? 0 : arm ? KNOWN_ARM_SIGMA_M : UNKNOWN_ARM_SIGMA_M;
  if (setup.position.sigmaM !== null) return { sigmaM: setup.position.sigmaM, sigmaFrom: 'session', shiftSigmaM };
  const positive = logged && positiveOf(logged);
  if (positive && positive.length > 0) return { sigmaM: median(positive), sigmaFrom: 'log', shiftSigmaM };
  if (simulation) return { sigmaM: SIMULATED_POSITION_SIGMA_M, sigmaFrom: 'stage', shiftSigmaM };
  problems.push({
    code: 'POSITION_SIGMA',
    severity: 'note',
    place: { file, key: 'position.sigma' },
    found: 'no channel `position_sigma` and no `position: { sigma: … }`',
    expected: 'the standard deviation of the position',
    remedy: `add one of them; until then ${ASSUMED_POSITION_SIGMA_M} m is assumed`,
  });
  return { sigmaM: ASSUMED_POSITION_SIGMA_M, sigmaFrom: 'assumed', shiftSigmaM };
}

/** Course over this much time and at least this much path, so that noise of the position does not turn the arm. */
const COURSE_SPAN_S = 0.2;
const COURSE_PATH_SIGMAS = 20;

/** Moves the fixes from the antenna to the ground point, in place. */
function removeArm(
  fixes: Fixes,
  arm: readonly [number, number, number],
  timeS: Float64Array,
  roll: Float64Array | null,
  pitch: Float64Array | null,
  heading: Float64Array | null,
): void {
  const { timeS: at, eastM, northM, sigmaM } = fixes;
  const n = at.length;
  const course = courses(fixes, COURSE_SPAN_S, (i) => COURSE_PATH_SIGMAS * sigmaM[i]!);
  const sin = heading?.map(Math.sin) ?? null;
  const cos = heading?.map(Math.cos) ?? null;
  // Without roll only the part along the machine can be removed; height then shifts the line, not the stations.
  const known: [number, number, number] = roll ? [...arm] : [arm[0], arm[1], 0];
  const east = new Float64Array(n);
  const north = new Float64Array(n);
  for (let i = 0; i < n; i++) {
    const lean = roll ? linearAt(timeS, roll, at[i]!) : 0;
    const dive = pitch ? linearAt(timeS, pitch, at[i]!) : 0;
    const [forward, left] = leverArm(known, Number.isNaN(lean) ? 0 : lean, Number.isNaN(dive) ? 0 : dive);
    const measured = sin && cos ? Math.atan2(linearAt(timeS, sin, at[i]!), linearAt(timeS, cos, at[i]!)) : Number.NaN;
    const psi = Number.isNaN(measured) ? course[i]! : measured;
    east[i] = eastM[i]! - forward * Math.cos(psi) + left * Math.sin(psi);
    north[i] = northM[i]! - forward * Math.sin(psi) - left * Math.cos(psi);
  }
  eastM.set(east);
  northM.set(north);
}

/** Direction of travel at each fix, from its neighbours far enough away; kept from before while standing. */
export function courses(fixes: Fixes, spanS: number, pathM: (i: number) => number): Float64Array {
  const n = fixes.timeS.length;
  const out = new Float64Array(n);
  let last = Number.NaN;
  for (let i = 0; i < n; i++) {
    const course = courseAt(fixes, i, spanS, pathM(i));
    if (!Number.isNaN(course)) last = course;
    out[i] = last;
  }
  // Before it first moved, the machine looked where it went first.
  const first = out.find((v) => !Number.isNaN(v)) ?? 0;
  for (let i = 0; i < n && Number.isNaN(out[i]!); i++) out[i] = first;
  return out;
}

/** NaN where no two fixes around this one, at most 5 s apart, are far enough from each other. */
function courseAt({ timeS, eastM, northM }: Fixes, i: number, spanS: number, pathM: number): number {
  const last = timeS.length - 1;
  let a = i;
  let b = i;
  for (;;) {
    const spannedS = timeS[b]! - timeS[a]!;
    const east = eastM[b]! - eastM[a]!;
    const north = northM[b]! - northM[a]!;
    const far = east * east + north * north >= pathM * pathM;
    const widest = (a === 0 && b === last) || !(spannedS < 5);
    if (widest || (spannedS >= spanS && far)) return far && b > a ? Math.atan2(north, east) : Number.NaN;
    if (a > 0) a--;
    if (b < last) b++;
  }
}
