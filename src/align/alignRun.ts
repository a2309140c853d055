import type { Circuit } from '../circuit/circuit.ts';
import { LinePoint } from '../circuit/line.ts';
import { type SpeedRows, speedRows } from '../laps/speedRows.ts';
import { courses, type Fixes, type Trace } from '../laps/trace.ts';
import { gather } from '../numbers/gather.ts';
import { hermiteMany } from '../numbers/hermite.ts';
import { cumulativeTrapezoid, linearMany } from '../numbers/interpolate.ts';
import { known } from '../numbers/known.ts';
import { median } from '../numbers/quantile.ts';
import { usualStep } from '../numbers/steps.ts';
import { type Path, pathAlong } from './path.ts';
import { bridge, type LocalLine, localLine, spanHoles } from './smooth.ts';
import { strayFixes } from './strayFixes.ts';
import { wild } from './wild.ts';

/** A whole run on the line: one entry per row of the timeline. */
export interface AlignedRun {
  readonly circuit: Circuit;
  readonly trace: Trace;
  /** (n,) clock of the trace, s. */
  readonly timeS: Float64Array;
  /** (n,) index into the trace's rows; -1 where the timeline is that of the fixes. */
  readonly row: Int32Array;
  /** (n,) unwrapped station of the gate-squared line, m; NaN where the run has no place on the line. */
  readonly stationM: Float64Array;
  /** (n,) d station / d time, m/s. */
  readonly rateMps: Float64Array;
  /** (n,) over ground, m/s: the speed channel, or the derivative of position where there is none. */
  readonly speedMps: Float64Array;
  /** (n,) left positive, m. */
  readonly offsetM: Float64Array;
  /** (n,) d offset / d station. */
  readonly offsetSlope: Float64Array;
  /** (n,) curvature of the line. */
  readonly curvaturePerM: Float64Array;
  /** (n,) one standard deviation of the position, m. */
  readonly sigmaM: Float64Array;
  readonly path: Path;
  /** (m,) 1 where a fix was set aside because the speed does not allow it. */
  readonly outlier: Uint8Array;
  /** Scatter of the speed channel against position over half a second, m/s; null without a speed channel. */
  readonly speedSigmaMps: number | null;
}

/** Half width of the window that ties distance ridden to position, at least so many seconds and steps of the receiver. */
export const TIE_WINDOW_S = 0.4;
const TIE_WINDOW_FIXES = 2.5;
/** Where positions are better than speed can follow within it, the window shrinks to as little as this many steps. */
const TIE_LEAST_FIXES = 1.2;
/** Fixes may scatter about the tie by this many of their standard deviations before the window shrinks. */
const TIE_SIGMAS = 2;
/** Beyond noise a fix may be off by what a speed wrong by this share builds up over the window. */
const OUTLIER_SPEED_SHARE = 0.02;
/** Below this a machine stands, m/s. */
const STILL_MPS = 0.5;
/** Without a fix for this long, and farther than this share of the lap, the run has no place. */
const LOST_S = 5;
const LOST_SHARE = 0.005;
/** Before the first fix and behind the last one it has a place for this long. */
const LOST_REACH_S = 1;
/** The search looks this far from the line, at most this share of its length. */
const SEARCH_RADIUS_M = 40;
const SEARCH_SHARE = 1 / 15;

/**
 * Lays a run on the circuit's line.
 *
 * Positions say where, speed says how far from one position to the next: stations are distance ridden plus a slowly
 * varying correction that ties it to the fixes (local linear fit over {@link TIE_WINDOW_S}). Noise of single positions
 * so does not become noise of time, a slow receiver is carried by the speed between its fixes, and a constant error or
 * a delay of the speed channel drops out, because only its change within the window matters.
 */
export function alignRun(trace: Trace, circuit: Circuit): AlignedRun {
  const { fixes } = trace;
  const { line, lengthM } = circuit;
  const gateWidth = Math.hypot(
    circuit.gate.leftEastM - circuit.gate.rightEastM,
    circuit.gate.leftNorthM - circuit.gate.rightNorthM,
  );
  const radius = Math.min(SEARCH_RADIUS_M, lengthM * SEARCH_SHARE);
  const lateral = Math.min(gateWidth / 2, radius / 3);

  // Distance ridden, from the speed where there is one, else from one fix to the next.
  const own = speedRows(trace.timeS, trace.speedMps);
  const stray = strayFixes(fixes);
  const path = found(fixes, stray, (believed) => {
    const riddenM = own ? distanceAt(own.timeS, own.speedMps, believed.timeS) : chords(believed.eastM, believed.northM);
    const course = courses(believed, 0.1, (i) => 6 * believed.sigmaM[i]! + lengthM * 1e-4);
    if (own) forgetStill(course, linearMany(own.timeS, own.speedMps, believed.timeS));
    return pathAlong(line, believed, course, riddenM, radius, lateral);
  });

  const stepS = usualStep(fixes.timeS);
  const widest = Math.max(TIE_WINDOW_S, TIE_WINDOW_FIXES * stepS);
  const { timeS, speedMps, row } = own ?? speedOfPath(fixes.timeS, path, widest);

  const placed = compact(fixes.timeS, path);
  const curvaturePerM = linearMany(placed.timeS, placed.curvaturePerM, timeS);
  const sideways = tiedLine(placed.timeS, placed.offsetM, timeS, widest);
  const firstRate = lineRate(speedMps, sideways, curvaturePerM);
  const first = tied(timeS, firstRate, fixes.timeS, path.stationM);
  const halfWidth = tieWindow(fixes, first.correction, widest, TIE_LEAST_FIXES * stepS);
  const reach = Math.ceil(widest / stepS);
  const bySpeed = linearMany(timeS, speedMps, fixes.timeS);
  for (let j = 0; j < bySpeed.length; j++) bySpeed[j]! *= OUTLIER_SPEED_SHARE * widest;
  const outlier = wild(first.correction, reach, fixes.sigmaM, bySpeed);
  const aside = wild(path.offsetM, reach, fixes.sigmaM, new Float64Array(bySpeed.length).fill(lateral / 4));
  for (let j = 0; j < outlier.length; j++) if (stray[j] || aside[j]) outlier[j] = 1;
  const good = without(path.offsetM, outlier);
  // With every fix believed and the window as wide as at first, a second pass would give the first again.
  const again = halfWidth !== widest || placed.timeS !== fixes.timeS || outlier.includes(1);
  const offsets = again ? tiedLine(fixes.timeS, good, timeS, halfWidth) : sideways;
  const rate = again ? lineRate(speedMps, offsets, curvaturePerM) : firstRate;
  const { ridden, correction: every } = again ? tied(timeS, rate, fixes.timeS, path.stationM) : first;
  const correction = without(every, outlier);

  const tie = tiedLine(fixes.timeS, correction, timeS, halfWidth);
  const lost = lostRows(timeS, ridden, fixes.timeS, correction, LOST_SHARE * lengthM);
  bridge(timeS, tie.value);
  // The offset itself is not smoothed: how well a path is tracked must not look better than it is.
  const kept = compact(fixes.timeS, { ...path, offsetM: good });
  const offsetM = linearMany(kept.timeS, kept.offsetM, timeS);

  const { stationM, rateMps, offsetSlope } = placedRows(ridden, rate, tie, lost, speedMps, offsets.slope);
  squareGate(circuit, stationM, rateMps, offsetM);
  return {
    circuit,
    trace,
    timeS,
    row,
    stationM,
    rateMps,
    speedMps,
    offsetM,
    offsetSlope,
    curvaturePerM,
    sigmaM: linearMany(fixes.timeS, fixes.sigmaM, timeS),
    path,
    outlier,
    speedSigmaMps: own ? speedScatter(own, fixes.timeS, correction, lost, Math.max(1, halfWidth)) : null,
  };
}

/** Stations and their rate: by speed, and what ties it to position; the slope of the offset along them. */
function placedRows(
  ridden: Float64Array,
  rate: Float64Array,
  tie: LocalLine,
  lost: Uint8Array,
  speedMps: Float64Array,
  offsetRate: Float64Array,
) {
  const n = ridden.length;
  const stationM = new Float64Array(n);
  const rateMps = new Float64Array(n);
  const offsetSlope = new Float64Array(n);
  for (let i = 0; i < n; i++) {
    const correctionRate = Number.isNaN(tie.slope[i]!) ? 0 : tie.slope[i]!;
    stationM[i] = lost[i] ? Number.NaN : ridden[i]! + tie.value[i]!;
    rateMps[i] = Math.max(0, rate[i]! + correctionRate);
    offsetSlope[i] = rateMps[i]! > 1e-3 * speedMps[i]! ? (offsetRate[i] || 0) / rateMps[i]! : 0;
  }
  return { stationM, rateMps, offsetSlope };
}

/** Rows this close together say the same about the speed, s. */
const SCATTER_STEP_S = 0.25;

/** Root mean square of what the speed lacks or has too much against position, over a slow window, while moving; m/s. */
function speedScatter(
  { timeS, speedMps }: SpeedRows,
  fixTimeS: Float64Array,
  correction: Float64Array,
  lost: Uint8Array,
  halfWidthS: number,
): number | null {
  const moving: number[] = [];
  let last = Number.NEGATIVE_INFINITY;
  for (let i = 0; i < timeS.length; i++) {
    if (lost[i] || speedMps[i]! <= 0.1 || timeS[i]! - last < SCATTER_STEP_S) continue;
    moving.push((last = timeS[i]!));
  }
  const { slope } = localLine(fixTimeS, correction, Float64Array.from(moving), halfWidthS);
  const slopes = known(slope);
  let squares = 0;
  for (let i = 0; i < slopes.length; i++) squares += slopes[i]! ** 2;
  return slopes.length > 0 ? Math.sqrt(squares / slopes.length) : null;
}

/** The path over the fixes that are not stray; those have no place. */
function found(fixes: Fixes, stray: Uint8Array, search: (believed: Fixes) => Path): Path {
  if (!stray.includes(1)) return search(fixes);
  const keep: number[] = [];
  for (let j = 0; j < stray.length; j++) if (!stray[j]) keep.push(j);
  const pick = (values: Float64Array): Float64Array => gather(values, keep);
  const path = search({
    timeS: pick(fixes.timeS),
    eastM: pick(fixes.eastM),
    northM: pick(fixes.northM),
    sigmaM: pick(fixes.sigmaM),
  });
  const back = (values: Float64Array): Float64Array => {
    const all = new Float64Array(stray.length).fill(Number.NaN);
    keep.forEach((j, k) => void (all[j] = values[k]!));
    return all;
  };
  return {
    stationM: back(path.stationM),
    offsetM: back(path.offsetM),
    curvaturePerM: back(path.curvaturePerM),
    restarts: path.restarts.map(({ fix, jumpM }) => ({ fix: keep[fix]!, jumpM })),
  };
}

/** Rate of station of a machine at a speed over ground, beside the line and drifting across it: what is left of v along it. */
function lineRate(speedMps: Float64Array, offset: LocalLine, curvaturePerM: Float64Array): Float64Array {
  const out = new Float64Array(speedMps.length);
  for (let i = 0; i < out.length; i++) {
    const v = speedMps[i]!;
    const across = Number.isNaN(offset.slope[i]!) ? 0 : offset.slope[i]!;
    const bend = Number.isNaN(offset.value[i]!) ? 0 : offset.value[i]! * curvaturePerM[i]!;
    out[i] = Math.sqrt(Math.max(0, v * v - across * across)) / Math.max(0.2, 1 - bend);
  }
  return out;
}

/** The values with NaN in place of those set aside. */
function without(values: Float64Array, aside: Uint8Array): Float64Array {
  const out = values.slice();
  for (let j = 0; j < out.length; j++) if (aside[j]) out[j] = Number.NaN;
  return out;
}

function tiedLine(timeS: Float64Array, value: Float64Array, at: Float64Array, halfWidthS: number): LocalLine {
  return spanHoles(localLine(timeS, value, at, halfWidthS), timeS, value, at, halfWidthS);
}

/** Distance along the line by speed alone, and what must be added to it at each fix to be where the fix is. */
function tied(timeS: Float64Array, rate: Float64Array, fixTimeS: Float64Array, stationM: Float64Array) {
  const ridden = cumulativeTrapezoid(timeS, rate);
  const correction = inside(timeS, ridden, rate, fixTimeS);
  for (let j = 0; j < correction.length; j++) correction[j] = stationM[j]! - correction[j]!;
  return { ridden, correction };
}

/** Speed from the path itself: slope of a local straight line through the stations. */
function speedOfPath(fixTimeS: Float64Array, path: Path, halfWidthS: number): SpeedRows {
  const local = localLine(fixTimeS, path.stationM, fixTimeS, 0.75 * halfWidthS);
  bridge(fixTimeS, local.slope);
  return {
    timeS: fixTimeS,
    speedMps: local.slope.map((rate, j) => Math.max(0, rate * (1 - (path.offsetM[j]! * path.curvaturePerM[j]! || 0)))),
    row: new Int32Array(fixTimeS.length).fill(-1),
  };
}

function distanceAt(timeS: Float64Array, speedMps: Float64Array, at: Float64Array): Float64Array {
  return linearMany(timeS, cumulativeTrapezoid(timeS, speedMps), at);
}

/** Where it stands, a machine only seems to go where its position drifts. In place. */
function forgetStill(courseRad: Float64Array, speedMps: Float64Array): void {
  for (let j = 0; j < speedMps.length; j++) if (speedMps[j]! < STILL_MPS) courseRad[j] = Number.NaN;
}

function chords(eastM: Float64Array, northM: Float64Array): Float64Array {
  const out = new Float64Array(eastM.length);
  for (let i = 1; i < out.length; i++)
    out[i] = out[i - 1]! + Math.sqrt((eastM[i]! - eastM[i - 1]!) ** 2 + (northM[i]! - northM[i - 1]!) ** 2);
  return out;
}

function compact(timeS: Float64Array, path: Path) {
  const { offsetM, curvaturePerM } = path;
  const places = new Int32Array(timeS.length);
  let count = 0;
  for (let j = 0; j < timeS.length; j++) if (!Number.isNaN(path.stationM[j]! + offsetM[j]!)) places[count++] = j;
  if (count === timeS.length) return { timeS, offsetM, curvaturePerM };
  const keep = places.subarray(0, count);
  const pick = (values: Float64Array): Float64Array => gather(values, keep);
  return { timeS: pick(timeS), offsetM: pick(offsetM), curvaturePerM: pick(curvaturePerM) };
}

/** Cubic between the rows with the speeds as slopes; held at constant speed for fixes just outside the rows. */
function inside(timeS: Float64Array, ridden: Float64Array, rate: Float64Array, at: Float64Array): Float64Array {
  const out = hermiteMany(timeS, ridden, rate, at);
  const last = timeS.length - 1;
  for (let j = 0; j < at.length; j++) {
    if (at[j]! < timeS[0]!) out[j] = ridden[0]! + rate[0]! * (at[j]! - timeS[0]!);
    else if (at[j]! > timeS[last]!) out[j] = ridden[last]! + rate[last]! * (at[j]! - timeS[last]!);
  }
  return out;
}

/**
 * The widest window, halved as often as needed, in which the fixes scatter no more than their uncertainty says: exact
 * positions (a simulation's) are then followed as they are, noisy ones are smoothed.
 */
function tieWindow({ timeS, sigmaM }: Fixes, correction: Float64Array, widest: number, least: number): number {
  const limit = (TIE_SIGMAS * median(sigmaM)) / 1.4826;
  for (let h = widest; h > least; h /= 2) {
    const smooth = localLine(timeS, correction, timeS, h).value;
    for (let j = 0; j < smooth.length; j++) smooth[j] = Math.abs(correction[j]! - smooth[j]!);
    const off = known(smooth);
    if (off.length === 0 || median(off) <= limit) return h;
  }
  return least;
}

/** Rows without a place: between two fixes that lie far apart in time, where more was ridden than a machine that stands. */
function lostRows(
  timeS: Float64Array,
  ridden: Float64Array,
  fixTimeS: Float64Array,
  correction: Float64Array,
  farM: number,
): Uint8Array {
  const lost = new Uint8Array(timeS.length);
  const good = new Float64Array(fixTimeS.length + 2);
  let goods = 0;
  good[goods++] = Number.NEGATIVE_INFINITY;
  for (let j = 0; j < fixTimeS.length; j++) if (!Number.isNaN(correction[j]!)) good[goods++] = fixTimeS[j]!;
  good[goods++] = Number.POSITIVE_INFINITY;
  let first = 0;
  for (let k = 0; k + 1 < goods; k++) {
    let end = first;
    while (end < timeS.length && timeS[end]! < good[k + 1]!) end++;
    const open = k === 0 || k + 2 === goods;
    const wide = open || good[k + 1]! - good[k]! > LOST_S;
    const far =
      open || (end > first && ridden[Math.min(end, ridden.length - 1)]! - ridden[Math.max(0, first - 1)]! > farM);
    const reach = open ? LOST_REACH_S : 0;
    for (let i = first; wide && far && i < end; i++)
      if (timeS[i]! - good[k]! > reach && good[k + 1]! - timeS[i]! > reach) lost[i] = 1;
    first = end;
  }
  return lost;
}

/**
 * Where the gate does not stand square to the line, stations near it are bent so that the gate is station 0 at every
 * offset: the time at station 0 is then the time at the gate, and the gap curve ends at the difference of lap times.
 */
function squareGate(circuit: Circuit, stationM: Float64Array, rateMps: Float64Array, offsetM: Float64Array): void {
  const { gate, line, lengthM } = circuit;
  const { headingRad } = line.at(0, new LinePoint());
  const u = gate.leftEastM - gate.rightEastM;
  const w = gate.leftNorthM - gate.rightNorthM;
  const along = u * Math.cos(headingRad) + w * Math.sin(headingRad);
  const across = -u * Math.sin(headingRad) + w * Math.cos(headingRad);
  const lean = along / across;
  if (Math.abs(lean) < 1e-4) return;
  const reach = Math.min(lengthM / 20, Math.max(10 * Math.hypot(u, w) * Math.abs(lean), 3 * Math.hypot(u, w)));
  for (let i = 0; i < stationM.length; i++) {
    const s = stationM[i]!;
    const d = s - lengthM * Math.round(s / lengthM);
    if (!(Math.abs(d) < reach)) continue;
    const x = (Math.PI * d) / (2 * reach);
    const shift = lean * offsetM[i]!;
    stationM[i] = s - shift * Math.cos(x) ** 2;
    rateMps[i] = Math.max(0, rateMps[i]! * (1 + (shift * Math.PI * Math.sin(2 * x)) / (2 * reach)));
  }
}
