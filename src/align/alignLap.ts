import { edgesAt } from '../circuit/edges.ts';
import type { Lap, Reason } from '../laps/laps.ts';
import { hermiteAt, hermiteMany, limitSlopes } from '../numbers/hermite.ts';
import { rowsWithin } from '../numbers/rowsWithin.ts';
import type { AlignedRun } from './alignRun.ts';

/** One lap by place: elapsed time, speed and offset at any station. */
export interface AlignedLap {
  readonly lap: Lap;
  readonly run: AlignedRun;
  /** On the clock of the trace, refined by the alignment, s. */
  readonly startS: number;
  /** Gate to gate, s; null where the lap does not end at the gate or has no place there. */
  readonly timeS: number | null;
  /** Stations 0..coveredM have a time. */
  readonly coveredM: number;
  /** (k,) strictly rising stations from 0, the times since the start there, and d time / d station. */
  readonly nodeM: Float64Array;
  readonly nodeS: Float64Array;
  readonly nodeSlope: Float64Array;
  /** Rows [first, end) of the run's timeline lie within the lap. */
  readonly first: number;
  readonly end: number;
  /** Unwrapped station of the gate at which the lap starts. */
  readonly gateM: number;
  readonly reasons: readonly Reason[];
}

/** Beyond the edge by more than this a machine has left the course, m; kerbs and run-off asphalt are still course. */
export const EDGE_MARGIN_M = 2;
/** Half the width of a course whose edges nobody gave, m. */
export const ASSUMED_HALF_WIDTH_M = 15;
/** Stations may fall back by drift and noise, not by more than this share of the lap plus 3 sigma. */
const BACK_SHARE = 1e-3;
/** A crossing that only positions have seen may lie this long before the first row, s. */
const BEFORE_FIRST_S = 0.25;
/** A position worse than this, for longer than this, cannot carry a lap. */
export const POSITION_LIMIT_M = 1;
export const POSITION_LIMIT_S = 1;
/** A place taken up anew this far from where the ride would have been is a jump. */
const JUMP_SHARE = 0.01;

/**
 * Cuts one lap out of an aligned run.
 *
 * @returns null where the run has no place on the line at the lap's start, so nothing can be said by station
 */
export function alignLap(run: AlignedRun, lap: Lap): AlignedLap | null {
  const { circuit, timeS, stationM } = run;
  const { lengthM } = circuit;
  if (!lap.fromGate) return null;
  const near = nearestPlaced(run, lap.startS);
  if (near === -1) return null;
  const gateM = lengthM * Math.round((stationM[near]! + run.rateMps[near]! * (lap.startS - timeS[near]!)) / lengthM);

  const all = nodes(run, lap, gateM);
  if (all.stationM.length < 4) return null;
  const placedStart = hermiteAt(all.stationM, all.timeS, all.slope, 0);
  if (Number.isNaN(placedStart)) return null;
  const placedEnd = lap.toGate ? hermiteAt(all.stationM, all.timeS, all.slope, lengthM) : Number.NaN;
  // A lap whose end by station is not the crossing of the gate did not go round.
  const round = lap.toGate && Math.abs(placedEnd - lap.endS) < 0.5;
  const startS = atGate(run, placedStart, lap.startS);
  const endS = round ? atGate(run, placedEnd, lap.endS) : placedEnd;
  const last = all.stationM[all.stationM.length - 1]!;
  const coveredM = round ? lengthM : Math.max(0, Math.min(last, lengthM));

  const own = new NodeList(all.stationM.length + 2);
  own.push(0, 0, slopeAt(all, 0));
  const tiny = lengthM * 1e-7;
  for (let k = 0; k < all.stationM.length; k++) {
    const s = all.stationM[k]!;
    const t = all.timeS[k]! - startS;
    if (s <= tiny || s >= coveredM - tiny || t <= 0 || (round && t >= endS - startS)) continue;
    own.push(s, t, all.slope[k]!);
  }
  if (coveredM > own.stationM[own.count - 1]!) {
    const reachedS = round ? endS : hermiteAt(all.stationM, all.timeS, all.slope, coveredM);
    own.push(coveredM, reachedS - startS, slopeAt(all, coveredM));
  }
  const lapNodes = own.limited();
  const [first, end] = rowsWithin(timeS, startS, round ? endS : lap.endS);
  return {
    lap,
    run,
    startS,
    timeS: round ? endS - startS : null,
    coveredM,
    nodeM: lapNodes.stationM,
    nodeS: lapNodes.timeS,
    nodeSlope: lapNodes.slope,
    first,
    end,
    gateM,
    reasons: [...lap.reasons, ...placeReasons(run, lap, first, end, gateM, round)],
  };
}

/** Crossings by station and by position alone may differ by so many standard deviations of one position. */
const GATE_SIGMAS = 4;

/**
 * When the gate was crossed: by station, which speed has freed of the noise of single positions, unless the positions
 * on both sides of the gate contradict it by more than their noise, as on a gate inside a bend.
 */
function atGate(run: AlignedRun, placedS: number, crossedS: number): number {
  const i = nearestPlaced(run, crossedS);
  if (i === -1) return placedS;
  if (besideOutlier(run, crossedS)) return placedS;
  const doubtS = (GATE_SIGMAS * run.sigmaM[i]!) / Math.max(run.rateMps[i]!, 1e-3);
  return Math.abs(placedS - crossedS) > doubtS ? crossedS : placedS;
}

/** Whether one of the four fixes around a time was set aside or has no place: then the positions contradict nothing. */
function besideOutlier({ trace, outlier, path }: AlignedRun, t: number): boolean {
  const [, first] = rowsWithin(trace.fixes.timeS, Number.NEGATIVE_INFINITY, t);
  for (let j = Math.max(0, first - 2); j < Math.min(outlier.length, first + 2); j++)
    if (outlier[j] || Number.isNaN(path.stationM[j]!)) return true;
  return false;
}

/** Elapsed time since the lap's start at a station, s; NaN beyond what the lap covered. */
export function timeAt(lap: AlignedLap, stationM: number): number {
  return hermiteAt(lap.nodeM, lap.nodeS, lap.nodeSlope, stationM);
}

/** {@link timeAt} for many rising stations. */
export function timesAt(lap: AlignedLap, stationM: Float64Array): Float64Array {
  return hermiteMany(lap.nodeM, lap.nodeS, lap.nodeSlope, stationM);
}

/** Rate of station at a station of the lap, m/s, from its time curve. */
export function rateAt(lap: AlignedLap, stationM: number): number {
  const reach = rateReach(lap);
  const from = Math.max(0, stationM - reach);
  const to = Math.min(lap.coveredM, stationM + reach);
  return (to - from) / (timeAt(lap, to) - timeAt(lap, from));
}

/** {@link rateAt} for many rising stations. */
export function ratesAt(lap: AlignedLap, stationM: Float64Array): Float64Array {
  const reach = rateReach(lap);
  const from = new Float64Array(stationM.length);
  const to = new Float64Array(stationM.length);
  for (let i = 0; i < stationM.length; i++) {
    from[i] = Math.max(0, stationM[i]! - reach);
    to[i] = Math.min(lap.coveredM, stationM[i]! + reach);
  }
  const fromS = timesAt(lap, from);
  const toS = timesAt(lap, to);
  for (let i = 0; i < stationM.length; i++) to[i] = (to[i]! - from[i]!) / (toS[i]! - fromS[i]!);
  return to;
}

/** Rates are taken over so much on both sides of a station, m. */
const rateReach = ({ coveredM }: AlignedLap): number => Math.min(coveredM / 2, Math.max(coveredM * 1e-3, 1e-6));

/**
 * A quantity of the run's rows by station of the lap.
 *
 * @param value (n,) on the run's timeline
 * @param at (k,) rising stations; NaN where the lap has no rows
 */
export function byStation(lap: AlignedLap, value: Float64Array, at: Float64Array): Float64Array {
  const { run, first, end, gateM } = lap;
  const out = new Float64Array(at.length).fill(Number.NaN);
  let i = Math.max(0, first - 1);
  const stop = Math.min(run.stationM.length, end + 1);
  let before = i;
  for (let k = 0; k < at.length; k++) {
    const s = at[k]! + gateM;
    while (i < stop && !(run.stationM[i]! >= s)) {
      if (run.stationM[i]! < s) before = i;
      i++;
    }
    if (i >= stop) break;
    const s0 = run.stationM[before]!;
    const s1 = run.stationM[i]!;
    if (s1 === s0 || before >= i) out[k] = s1 === s ? value[i]! : Number.NaN;
    else out[k] = value[before]! + ((s - s0) / (s1 - s0)) * (value[i]! - value[before]!);
  }
  return out;
}

interface Nodes {
  stationM: Float64Array;
  timeS: Float64Array;
  slope: Float64Array;
}

/** Rows around the lap as strictly rising stations from its gate; where the machine stood, the end of the wait is kept. */
function nodes(run: AlignedRun, lap: Lap, gateM: number): Nodes {
  const { timeS, stationM, rateMps, circuit } = run;
  const rise = circuit.lengthM * 1e-6;
  const margin = 1;
  const [from, to] = rowsWithin(timeS, lap.startS - margin, lap.endS + margin);
  // Each row may bring a wait of its own; one more for the gate.
  const out = new NodeList(2 * (to - from) + 1);
  const slope = (i: number): number => (rateMps[i]! > 0 ? 1 / rateMps[i]! : 0);
  let waiting = -1;
  let top = Number.NEGATIVE_INFINITY;
  for (let i = from; i < to; i++) {
    const station = stationM[i]! - gateM;
    if (Number.isNaN(station)) continue;
    if (station <= top + rise) {
      waiting = i;
      continue;
    }
    if (waiting !== -1 && timeS[waiting]! - out.timeS[out.count - 1]! > 0.25) {
      // Leave the last place as late as the machine did.
      out.slope[out.count - 1] = 0;
      out.push(top + rise / 2, timeS[waiting]!, 0);
    }
    waiting = -1;
    // A log that begins within a step or two behind the gate: positions that are late by more have seen the crossing.
    const lateS = timeS[i]! - lap.startS;
    if (out.count === 0 && station > rise && lateS > 0 && lateS < BEFORE_FIRST_S) out.push(0, lap.startS, slope(i));
    out.push(station, timeS[i]!, slope(i));
    top = station;
  }
  return out.limited();
}

let room = { stationM: new Float64Array(0), timeS: new Float64Array(0), slope: new Float64Array(0) };

/** Nodes as they are found. All lists have one room, so that one must be {@link NodeList.limited} before the next. */
class NodeList implements Nodes {
  readonly stationM: Float64Array;
  readonly timeS: Float64Array;
  readonly slope: Float64Array;
  count = 0;

  constructor(most: number) {
    if (room.stationM.length < most) {
      const fresh = (): Float64Array<ArrayBuffer> => new Float64Array(most);
      room = { stationM: fresh(), timeS: fresh(), slope: fresh() };
    }
    ({ stationM: this.stationM, timeS: this.timeS, slope: this.slope } = room);
  }

  push(stationM: number, timeS: number, slope: number): void {
    this.stationM[this.count] = stationM;
    this.timeS[this.count] = timeS;
    this.slope[this.count++] = slope;
  }

  /** The nodes, with slopes that keep time rising. */
  limited(): Nodes {
    const stationM = this.stationM.slice(0, this.count);
    const timeS = this.timeS.slice(0, this.count);
    return { stationM, timeS, slope: limitSlopes(stationM, timeS, this.slope.subarray(0, this.count)) };
  }
}

function slopeAt({ stationM, timeS, slope }: Nodes, at: number): number {
  const [below] = rowsWithin(stationM, at, at);
  const k = Math.min(Math.max(1, below), stationM.length - 1);
  const h = stationM[k]! - stationM[k - 1]!;
  const u = Math.min(1, Math.max(0, (at - stationM[k - 1]!) / h));
  const secant = (timeS[k]! - timeS[k - 1]!) / h;
  return 6 * u * (1 - u) * secant + (1 - u) * (1 - 3 * u) * slope[k - 1]! + u * (3 * u - 2) * slope[k]!;
}

function nearestPlaced(run: AlignedRun, t: number): number {
  let best = -1;
  let least = 1;
  const [first, end] = rowsWithin(run.timeS, t - 1, t + 1);
  for (let i = first; i < end; i++) {
    const off = Math.abs(run.timeS[i]! - t);
    if (off < least && !Number.isNaN(run.stationM[i]!)) [best, least] = [i, off];
  }
  return best;
}

function placeReasons(run: AlignedRun, lap: Lap, first: number, end: number, gateM: number, round: boolean): Reason[] {
  const { circuit, stationM, offsetM, sigmaM, timeS, path, trace } = run;
  const { lengthM } = circuit;
  const out: Reason[] = [];
  const within = (fix: number): boolean => {
    const t = trace.fixes.timeS[fix]!;
    return t > lap.startS && t < lap.endS;
  };
  const jump = path.restarts.find(({ fix, jumpM }) => within(fix) && Math.abs(jumpM) > lengthM * JUMP_SHARE);
  if (jump) {
    const at = path.stationM[jump.fix]! - gateM;
    out.push({
      code: 'JUMPED',
      text: `the position goes on ${Math.abs(jump.jumpM).toFixed(0)} m ${jump.jumpM > 0 ? 'ahead of' : 'behind'} where the ride would be, at ${at.toFixed(0)} m`,
    });
  }
  if (lap.toGate && !round) {
    const reached = stationM[Math.max(first, end - 1)]! - gateM;
    out.push({
      code: 'NOT_ROUND',
      text: Number.isNaN(reached)
        ? 'came back to the gate without a place on the circuit'
        : reached > 1.5 * lengthM
          ? `passed beside the gate, and crossed it after ${reached.toFixed(0)} m, ${(reached / lengthM).toFixed(1)} times round`
          : `came back to the gate after ${reached.toFixed(0)} m of ${lengthM.toFixed(0)} m`,
    });
  }

  let worst = { over: 0, at: 0 };
  let poor = 0;
  let lost = 0;
  let back = 0;
  let top = Number.NEGATIVE_INFINITY;
  for (let i = first; i < end; i++) {
    const dt = i > first ? timeS[i]! - timeS[i - 1]! : 0;
    const s = stationM[i]! - gateM;
    if (Number.isNaN(s)) {
      lost += dt;
      continue;
    }
    const { leftM, rightM } = edgesAt(circuit, s);
    const left = leftM ?? ASSUMED_HALF_WIDTH_M;
    const right = rightM ?? -ASSUMED_HALF_WIDTH_M;
    const over = Math.max(offsetM[i]! - left, right - offsetM[i]!) - EDGE_MARGIN_M - 2 * sigmaM[i]!;
    if (over > worst.over) worst = { over, at: s };
    if (sigmaM[i]! > POSITION_LIMIT_M) poor += dt;
    top = Math.max(top, s);
    back = Math.max(back, top - s - 3 * sigmaM[i]!);
  }
  // In and out laps pass through the pit lane: that is no fault of theirs.
  if (worst.over > 0 && lap.toGate)
    out.push({
      code: 'LEFT_COURSE',
      text: `${(worst.over + EDGE_MARGIN_M).toFixed(1)} m beyond the edge at ${worst.at.toFixed(0)} m`,
    });
  if (lost > 0 && lap.toGate)
    out.push({ code: 'POSITION_LOST', text: `no place on the circuit for ${lost.toFixed(1)} s` });
  if (poor > POSITION_LIMIT_S)
    out.push({ code: 'POSITION_POOR', text: `position worse than ${POSITION_LIMIT_M} m for ${poor.toFixed(1)} s` });
  if (back > lengthM * BACK_SHARE)
    out.push({ code: 'REVERSED', text: `went back ${back.toFixed(0)} m along the circuit` });
  return out;
}
