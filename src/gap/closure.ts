import { type AlignedLap, timesAt } from '../align/alignLap.ts';
import { linearMany } from '../numbers/interpolate.ts';
import type { Cell } from './cells.ts';

/** Largest disagreement that passes: the greatest of a time, a share of the section's time, and twice the speed's scatter. */
export const CLOSURE_S = 0.005;
export const CLOSURE_SHARE = 0.001;

/** A section whose time by speed and whose time by position differ too much. */
export interface ClosureFault {
  readonly corner: string;
  readonly fromM: number;
  readonly toM: number;
  readonly differenceS: number;
  readonly limitS: number;
}

/**
 * Checks speed against position over each corner's cells: ∫ ψ/v ds against the time between the section's ends.
 * Neither is used to correct the other; a disagreement names a wrong unit, a wheel that over-reads in lean, a drift.
 *
 * @returns the section that is worst against its limit, and by how much it differs; null without a speed channel
 */
export function closureOf(lap: AlignedLap, cells: readonly Cell[]): { worst: ClosureFault | null; fails: boolean } {
  const { run } = lap;
  if (run.row[0] === -1) return { worst: null, fails: false };
  const sections = cells.filter(({ toM, fromM }) => toM > fromM && toM <= lap.coveredM);
  const bySpeed = timeBySpeed(lap);
  let worst: ClosureFault | null = null;
  let excess = Number.NEGATIVE_INFINITY;
  for (const { corner, fromM, toM } of sections) {
    const ends = Float64Array.of(fromM, toM);
    const [t0, t1] = timesAt(lap, ends);
    const [q0, q1] = linearMany(bySpeed.stationM, bySpeed.timeS, ends);
    const time = t1! - t0!;
    const meanSpeed = (toM - fromM) / time;
    const scatter = run.speedSigmaMps === null ? 0 : (2 * run.speedSigmaMps * Math.sqrt(time)) / meanSpeed;
    const limitS = Math.max(CLOSURE_S, CLOSURE_SHARE * time, scatter);
    const differenceS = q1! - q0! - time;
    if (Math.abs(differenceS) - limitS > excess) {
      excess = Math.abs(differenceS) - limitS;
      worst = { corner, fromM, toM, differenceS, limitS };
    }
  }
  return { worst, fails: excess > 0 };
}

interface TimeBySpeed {
  readonly stationM: Float64Array;
  readonly timeS: Float64Array;
}

const known = new WeakMap<AlignedLap, TimeBySpeed>();

/** Worked out once a lap, whatever the sections. */
function timeBySpeed(lap: AlignedLap): TimeBySpeed {
  let found = known.get(lap);
  if (!found) known.set(lap, (found = integrated(lap)));
  return found;
}

/** ∫ ψ/v ds over the rows of the lap, a trapezoid from row to row; standing rows are passed over. */
function integrated({ run, first, end, gateM }: AlignedLap): TimeBySpeed {
  const from = Math.max(0, first - 1);
  const to = Math.min(end + 1, run.timeS.length);
  const stationM = new Float64Array(to - from);
  const timeS = new Float64Array(to - from);
  let n = 0;
  let before = 0;
  for (let i = from; i < to; i++) {
    const s = run.stationM[i]! - gateM;
    const v = run.speedMps[i]!;
    if (Number.isNaN(s) || v <= 0 || (n > 0 && s <= stationM[n - 1]!)) continue;
    const slowness = Math.sqrt((1 - run.offsetM[i]! * run.curvaturePerM[i]!) ** 2 + run.offsetSlope[i]! ** 2) / v;
    stationM[n] = s;
    timeS[n] = n === 0 ? 0 : timeS[n - 1]! + 0.5 * (slowness + before) * (s - stationM[n - 1]!);
    before = slowness;
    n++;
  }
  return { stationM: stationM.subarray(0, n), timeS: timeS.subarray(0, n) };
}
