import type { AlignedLap } from '../align/alignLap.ts';
import { onTimeline } from '../align/channel.ts';
import { hermiteMany } from '../numbers/hermite.ts';
import { known } from '../numbers/known.ts';
import { median } from '../numbers/quantile.ts';

/** A plan below this speed says nothing about time: the robot was told to stand. */
const LEAST_MPS = 0.5;

/** A planned path farther from the ridden one than this, in the median, is measured from another line, m. */
export const PLAN_APART_M = 1.5;

/**
 * How far the ridden path lies from the planned one, median over the lap, m. A robot that follows its plan at all is
 * closer than a metre; more means that `target_offset` counts from another line than the circuit's reference line.
 *
 * @returns null where no target offset was logged
 */
export function planApartM(lap: AlignedLap): number | null {
  let apart = planned.get(lap);
  if (apart === undefined) planned.set(lap, (apart = measuredApart(lap)));
  return apart;
}

const planned = new WeakMap<AlignedLap, number | null>();

function measuredApart({ run, first, end }: AlignedLap): number | null {
  const offset = onTimeline(run, 'target_offset');
  if (!offset) return null;
  const apart = new Float64Array(Math.max(0, end - first));
  for (let k = 0; k < apart.length; k++) apart[k] = Math.abs(offset[first + k]! - run.offsetM[first + k]!);
  const some = known(apart);
  return some.length > 0 ? median(some) : null;
}

/**
 * Time that the logged plan would have taken from the lap's start to each station: ∫ ψ/v ds along the planned path at
 * the planned speed. The planned path is `target_offset` where it is logged, else the ridden line.
 *
 * @param at (k,) rising stations
 * @returns (k,) seconds, NaN beyond what was planned; null where no target speed was logged
 */
export function planTimes(lap: AlignedLap, at: Float64Array): Float64Array | null {
  const { run } = lap;
  const target = onTimeline(run, 'target_speed');
  const apart = planApartM(lap);
  if (target === null || (apart !== null && apart > PLAN_APART_M)) return null;
  const offset = onTimeline(run, 'target_offset') ?? run.offsetM;
  const plan = plannedWay(lap, target, offset);
  if (plan === null) return null;
  const { stationM, timeS, slownessSpm } = plan;
  const out = hermiteMany(stationM, timeS, slownessSpm, at);
  return out.some((v) => Number.isNaN(v)) && at[0]! < stationM[0]! ? null : out;
}

/** Where the plan had the robot when, and how long a metre was to take there; null where it was told to stand. */
function plannedWay({ run, first, end, gateM }: AlignedLap, target: Float64Array, offset: Float64Array) {
  const { curvaturePerM, stationM } = run;
  const least = LEAST_MPS * Math.min(1, run.circuit.lengthM / 500);
  const last = run.timeS.length - 1;
  const start = Math.max(0, first - 1);
  const stop = Math.min(last + 1, end + 1);
  const stations = new Float64Array(stop - start);
  const rate = new Float64Array(stop - start);
  const times = new Float64Array(stop - start);
  let count = 0;
  for (let i = start; i < stop; i++) {
    const s = stationM[i]! - gateM;
    const top = count > 0 ? stations[count - 1]! : Number.NEGATIVE_INFINITY;
    if (!(s > top)) continue;
    const v = target[i]!;
    if (!(v >= least)) return null;
    // Slope of the planned path over a few rows, where it is noisy least.
    const i0 = Math.max(0, i - 3);
    const i1 = Math.min(last, i + 3);
    const span = stationM[i1]! - stationM[i0]!;
    const slope = span > 0 ? (offset[i1]! - offset[i0]!) / span : 0;
    const path = Math.sqrt((1 - offset[i]! * curvaturePerM[i]!) ** 2 + slope * slope);
    const slowness = path / v;
    times[count] = count === 0 ? 0 : times[count - 1]! + 0.5 * (slowness + rate[count - 1]!) * (s - top);
    stations[count] = s;
    rate[count++] = slowness;
  }
  if (count < 2) return null;
  return {
    stationM: stations.subarray(0, count),
    timeS: times.subarray(0, count),
    slownessSpm: rate.subarray(0, count),
  };
}
