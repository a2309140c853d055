import type { AlignedLap } from '../align/alignLap.ts';
import { onTimeline } from '../align/channel.ts';
import { linearMany } from '../numbers/interpolate.ts';
import { GRAVITY } from '../units.ts';

/** Only a rate of turn that tells the bends as the positions do is believed: its correlation with them, and its scale. */
const LEAST_CORRELATION = 0.97;
const MOST_OFF = 0.15;
/** The rate of turn tells what lies within these shares of the lap from each other (25 m of 3 km), positions the rest. */
const WIDE_SHARE = 25 / 3000;
/** Scatter of its own is taken out over this share (6 m of 3 km). */
const NARROW_SHARE = 6 / 3000;

/**
 * Curvature of the ridden path where the log holds a rate of turn. A gyroscope follows every bend with little scatter,
 * but drifts; positions do not drift, but their second derivative scatters. So the rate of turn gives the shape and
 * positions the level: what they differ by, smoothed over a wide stretch, is added to the rate's. Its scale is fitted.
 *
 * @param stationM (n,) even stations from the gate
 * @param pathPerStation (n,)
 * @param byPositions (n,) 1/m, left positive
 * @returns (n,) 1/m; null where no rate is logged, or it does not agree with the positions
 */
export function turning(
  lap: AlignedLap,
  stationM: Float64Array,
  pathPerStation: Float64Array,
  byPositions: Float64Array,
): Float64Array | null {
  const rates = onTimeline(lap.run, 'yaw_rate');
  if (rates === null) return null;
  const n = stationM.length;
  const stepM = stationM[1]! - stationM[0]!;
  const headings = headingBy(lap, rates, stationM[0]! - stepM, stationM[n - 1]! + stepM);
  if (headings === null) return null;
  const edges = Float64Array.from({ length: n + 1 }, (_, i) => stationM[0]! + (i - 0.5) * stepM);
  const heading = linearMany(headings.stationM, headings.rad, edges);
  const speed = linearMany(headings.stationM, headings.speedMps, stationM);
  const byRate = pathPerStation.map((psi, i) => (heading[i + 1]! - heading[i]!) / (stepM * psi));
  const fitted = scaled(byRate, byPositions, speed);
  if (fitted === null) return null;
  const { lengthM } = lap.run.circuit;
  const reach = (share: number): number => Math.max(1, Math.round((share * lengthM) / stepM));
  const level = levelled(
    byPositions.map((k, i) => k - fitted[i]!),
    reach(WIDE_SHARE),
  );
  return levelled(fitted, reach(NARROW_SHARE)).map((k, i) => k + level[i]!);
}

/** Direction summed from the rate of turn, at rising stations from the gate; null without rows or with gaps in the rate. */
function headingBy(
  { run, gateM }: AlignedLap,
  rates: Float64Array,
  fromM: number,
  toM: number,
): { stationM: Float64Array; rad: Float64Array; speedMps: Float64Array } | null {
  const stationM: number[] = [];
  const rad: number[] = [];
  const speedMps: number[] = [];
  let heading = 0;
  let before = -1;
  for (let i = 0; i < run.timeS.length; i++) {
    const s = run.stationM[i]! - gateM;
    if (!(s >= fromM)) continue;
    if (s > toM) break;
    const rate = rates[i]!;
    if (Number.isNaN(rate)) return null;
    if (before !== -1) heading += ((rate + rates[before]!) / 2) * (run.timeS[i]! - run.timeS[before]!);
    before = i;
    if (stationM.length > 0 && s <= stationM[stationM.length - 1]!) continue;
    stationM.push(s);
    rad.push(heading);
    speedMps.push(run.speedMps[i]!);
  }
  const [s, r, v] = [stationM, rad, speedMps].map((list) => Float64Array.from(list)) as [
    Float64Array,
    Float64Array,
    Float64Array,
  ];
  return s.length > 2 ? { stationM: s, rad: r, speedMps: v } : null;
}

/**
 * Curvature by the rate, fitted to that by positions: a scale, and a lean that was levelled with a little too much or too
 * little, which reads bends to one side too sharp and those to the other too wide. Null where the two do not agree.
 */
function scaled(byRate: Float64Array, byPositions: Float64Array, speedMps: Float64Array): Float64Array | null {
  let [aa, ab, bb, ay, by, yy] = [0, 0, 0, 0, 0, 0];
  const leaning = byRate.map((k, i) => (k * k * speedMps[i]! ** 2) / GRAVITY);
  for (let i = 0; i < byRate.length; i++) {
    const [a, b, y] = [byRate[i]!, leaning[i]!, byPositions[i]!];
    aa += a * a;
    ab += a * b;
    bb += b * b;
    ay += a * y;
    by += b * y;
    yy += y * y;
  }
  const det = aa * bb - ab * ab;
  if (!(det > 1e-6 * aa * bb)) return null;
  const scale = (ay * bb - by * ab) / det;
  const tilt = (by * aa - ay * ab) / det;
  if (!(ay >= LEAST_CORRELATION * Math.sqrt(aa * yy) && Math.abs(scale - 1) <= MOST_OFF)) return null;
  return byRate.map((k, i) => scale * k + tilt * leaning[i]!);
}

/** Mean over the neighbours, twice, so that weights fall evenly to nothing at the reach. */
function levelled(values: Float64Array, reach: number): Float64Array {
  const half = Math.max(1, Math.round(reach / 2));
  return mean(mean(values, half), half);
}

function mean(values: Float64Array, reach: number): Float64Array {
  const sums = new Float64Array(values.length + 1);
  for (let i = 0; i < values.length; i++) sums[i + 1] = sums[i]! + values[i]!;
  return values.map((_, i) => {
    const [from, to] = [Math.max(0, i - reach), Math.min(values.length, i + reach + 1)];
    return (sums[to]! - sums[from]!) / (to - from);
  });
}
