import type { AlignedLap } from '../align/alignLap.ts';
import { LinePoint } from '../circuit/line.ts';
import { linearMany } from '../numbers/interpolate.ts';
import { turning } from './turning.ts';

/** The ridden path of a lap on an even grid of stations that reaches a little beyond the gate on both sides. */
export interface RiddenPath {
  /** (n,) rising stations from the gate, m. */
  readonly stationM: Float64Array;
  /** (n,) metres ridden per metre of station. */
  readonly pathPerStation: Float64Array;
  /** (n,) curvature of what was ridden, 1/m, left positive. */
  readonly curvaturePerM: Float64Array;
  /** (n,) one standard deviation of the path's direction from the scatter of single positions, rad. */
  readonly directionSigmaRad: Float64Array;
}

/** Half width of the fit to the offsets: this share of the radius, at most so many metres of a lap of 3 km. */
const RADIUS_SHARE = 0.25;
const WIDEST_SHARE = 24 / 3000;
/** At least so many positions on each side. */
const LEAST_FIXES = 2.5;

const known = new WeakMap<AlignedLap, RiddenPath>();

/**
 * Length and curvature of the ridden path. The circuit's line carries the shape of a bend; only the offset from it,
 * which changes slowly, is taken from noisy positions: a local parabola over about half of the bend's radius. With
 * the direction of the path against the line χ = atan(n′ / (1 − nκ)), the curvature is (κ + χ′) / ψ.
 */
export function riddenPath(lap: AlignedLap): RiddenPath {
  let path = known.get(lap);
  if (!path) known.set(lap, (path = made(lap)));
  return path;
}

function made(lap: AlignedLap): RiddenPath {
  const { run, gateM } = lap;
  const { line, lengthM } = run.circuit;
  const stepM = lengthM / Math.max(500, Math.round(lengthM));
  const widest = WIDEST_SHARE * Math.min(lengthM, 3000);
  const pad = Math.ceil((2 * widest) / stepM);
  const n = Math.round(lengthM / stepM) + 2 * pad + 1;
  const stationM = Float64Array.from({ length: n }, (_, i) => (i - pad) * stepM);
  const point = new LinePoint();
  const bend = stationM.map((s) => line.at(s, point).curvaturePerM);

  // One point a fix: between fixes the run's offsets are straight lines and say nothing new.
  const fixS: number[] = [];
  const fixN: number[] = [];
  const { fixes } = run.trace;
  const at = linearMany(run.timeS, run.stationM, fixes.timeS);
  for (let j = 0; j < fixes.timeS.length; j++) {
    const s = at[j]! - gateM;
    if (run.outlier[j] || Number.isNaN(s + run.path.offsetM[j]!)) continue;
    if (s < stationM[0]! - 2 * widest || s > stationM[n - 1]! + 2 * widest) continue;
    if (fixS.length > 0 && s <= fixS[fixS.length - 1]!) continue;
    fixS.push(s);
    fixN.push(run.path.offsetM[j]!);
  }
  const { sigmaM } = run.trace.quality;
  const pathPerStation = new Float64Array(n).fill(1);
  const curvaturePerM = new Float64Array(n);
  const directionSigmaRad = new Float64Array(n);
  const reach = Math.max(1, Math.round(widest / stepM));
  let first = 0;
  for (let i = 0; i < n; i++) {
    const s = stationM[i]!;
    let sharpest = 0;
    for (let k = Math.max(0, i - reach); k <= Math.min(n - 1, i + reach); k++)
      if (Math.abs(bend[k]!) > sharpest) sharpest = Math.abs(bend[k]!);
    while (first < fixS.length - 1 && fixS[first]! < s) first++;
    const spacing = spacingAt(fixS, first);
    const half = Math.max(LEAST_FIXES * spacing, Math.min(widest, RADIUS_SHARE / Math.max(sharpest, 1e-9)));
    const { value, slope, second, sigma1 } = parabola(fixS, fixN, s, half, first);
    const along = 1 - value * bend[i]!;
    pathPerStation[i] = Math.max(0.2, Math.hypot(along, slope));
    const easing = (bend[Math.min(n - 1, i + 1)]! - bend[Math.max(0, i - 1)]!) / (2 * stepM);
    const turn = (second * along + slope * (slope * bend[i]! + value * easing)) / (along * along + slope * slope);
    curvaturePerM[i] = (bend[i]! + turn) / pathPerStation[i]!;
    directionSigmaRad[i] = sigmaM * sigma1;
  }
  const turned = turning(lap, stationM, pathPerStation, curvaturePerM);
  return { stationM, pathPerStation, curvaturePerM: turned ?? curvaturePerM, directionSigmaRad };
}

function spacingAt(fixS: readonly number[], i: number): number {
  const a = Math.max(0, i - 3);
  const b = Math.min(fixS.length - 1, i + 3);
  return b > a ? (fixS[b]! - fixS[a]!) / (b - a) : 0;
}

/** Local parabola with tricube weights at a place; `sigma1`: of the slope per unit scatter of the points. */
function parabola(x: readonly number[], y: readonly number[], at: number, half: number, near: number) {
  let lo = near;
  let hi = near;
  while (lo > 0 && x[lo - 1]! > at - half) lo--;
  while (hi < x.length && x[hi]! < at + half) hi++;
  let [w0, w1, w2, w3, w4, y0, y1, y2, points] = [0, 0, 0, 0, 0, 0, 0, 0, 0];
  for (let j = lo; j < hi; j++) {
    const u = (x[j]! - at) / half;
    if (u <= -1 || u >= 1) continue;
    const c = 1 - Math.abs(u) ** 3;
    const w = c * c * c;
    const uu = u * u;
    w0 += w;
    w1 += w * u;
    w2 += w * uu;
    w3 += w * uu * u;
    w4 += w * uu * uu;
    y0 += w * y[j]!;
    y1 += w * u * y[j]!;
    y2 += w * uu * y[j]!;
    points++;
  }
  // Symmetric 3 × 3 system by cofactors.
  const c00 = w2 * w4 - w3 * w3;
  const c01 = w2 * w3 - w1 * w4;
  const c02 = w1 * w3 - w2 * w2;
  const det = w0 * c00 + w1 * c01 + w2 * c02;
  if (points < 4 || !(det > 1e-9 * w0 ** 3)) return { value: points > 0 ? y0 / w0 : 0, slope: 0, second: 0, sigma1: 0 };
  const c11 = w0 * w4 - w2 * w2;
  const c12 = w1 * w2 - w0 * w3;
  const c22 = w0 * w2 - w1 * w1;
  return {
    value: (c00 * y0 + c01 * y1 + c02 * y2) / det,
    slope: (c01 * y0 + c11 * y1 + c12 * y2) / det / half,
    second: (2 * (c02 * y0 + c12 * y1 + c22 * y2)) / det / (half * half),
    sigma1: Math.sqrt(Math.max(0, c11 / det)) / half,
  };
}
