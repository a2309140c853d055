import type { AlignedLap } from '../align/alignLap.ts';
import { standardDeviation } from '../numbers/moments.ts';
import { quantile } from '../numbers/quantile.ts';
import { DRAG_PER_M } from '../technique/events.ts';
import type { Envelope } from './envelope.ts';
import { DriveLimit } from './envelope.ts';
import { cellsIn, riddenOn } from './ridden.ts';
import { seededNormals } from './seeded.ts';

/** How many points lie near the drive frontier in a range of lateral use. */
export interface LeanSupport {
  readonly fromShare: number;
  readonly toShare: number;
  readonly points: number;
  /** Within {@link NEAR_SHARE} of it or beyond. */
  readonly onFrontier: number;
}

/** Of the points of a speed range: the demonstrated drive, braking and lateral acceleration. */
export interface SpeedRow {
  readonly fromMps: number;
  readonly toMps: number;
  readonly points: number;
  readonly driveMps2: number;
  readonly brakingMps2: number;
  readonly lateralMps2: number;
}

/** An envelope with what is known of its doubt. */
export interface FittedEnvelope {
  readonly envelope: Envelope;
  /** One standard deviation of each fitted limit, as the limit has it. */
  readonly sigma: Pick<Envelope, 'tractionMps2' | 'powerWpkg' | 'brakingMps2' | 'lateralMps2' | 'exponent'>;
  readonly laps: number;
  readonly lean: readonly LeanSupport[];
  readonly speed: readonly SpeedRow[];
}

/** Demonstrated means: the best so many of the points are beyond. */
const QUANTILE = 0.97;
/** Points this close to the frontier carry it. */
export const NEAR_SHARE = 0.1;
/** Lateral use below which a machine counts as upright. */
const UPRIGHT_SHARE = 0.35;
/** A lateral limit is a little beyond what was ridden: nobody rides at the very limit. */
const BEYOND = 1.1;
const BEYONDS = Array.from({ length: 15 }, (_, k) => 1.02 + 0.02 * k);
/** Width of a range of lateral use, points that it needs, and the share of them that lies below the frontier. */
const LEAN_STEP = 0.08;
const LEAST_IN_BIN = 15;
const FRONTIER = 0.75;
/** Drive is on above this share of the strongest, and settled after this time, s. */
const DRIVE_ON = 0.25;
const SETTLED_S = 0.45;
/** Share of the upright drive at the lateral limit; below it nobody has shown anything. */
const FLOOR_SHARE = 0.3;
/** Rolling resistance of a road machine, m/s². */
const ROLLING_MPS2 = 0.15;
/** What the shape of an envelope may be off by, whatever the points say; relative, the exponent absolute. */
const SHAPE_SIGMA = { tractionMps2: 0.04, powerWpkg: 0.02, brakingMps2: 0.03, lateralMps2: 0.03, exponent: 0.2 };
const EXPONENTS = [1.5, 1.75, 2, 2.25, 2.5];
const MOST_LAPS = 40;
const DRAWS = 20;

interface Points {
  readonly speedMps: Float64Array;
  /** Along the path with the resistance given back. */
  readonly pushMps2: Float64Array;
  readonly lateralMps2: Float64Array;
  /** 1 where drive has been on for {@link SETTLED_S}: a throttle that is only opening shows no limit. */
  readonly settled: Float64Array;
}

/**
 * The frontier of what the given laps show, by speed and lean, with its doubt from resampling whole laps. Grade is not
 * taken out: a circuit's climbs belong to every lap alike.
 *
 * @param laps whole laps of both riders
 * @param dragPerM where the session tells the reference's machine; else the usual one
 */
export function fitEnvelope(laps: readonly AlignedLap[], dragPerM = DRAG_PER_M): FittedEnvelope | null {
  const every = Math.max(1, Math.ceil(laps.length / MOST_LAPS));
  const points = laps
    .filter((lap, i) => i % every === 0 && lap.coveredM > 0)
    .map((lap) => pointsOf(lap, dragPerM))
    .filter((p) => p !== null);
  if (points.length === 0) return null;
  const all = joined(points);
  if (all.speedMps.length < 100) return null;
  const envelope = fitted(all, dragPerM);
  const keys = ['tractionMps2', 'powerWpkg', 'brakingMps2', 'lateralMps2', 'exponent'] as const;
  const normal = seededNormals(`envelope ${points.length} ${all.speedMps.length}`);
  const draws = Array.from({ length: points.length > 2 ? DRAWS : 0 }, () => {
    const picked = points.map(
      () => points[Math.min(points.length - 1, Math.floor(uniform(normal()) * points.length))]!,
    );
    return fitted(joined(picked), dragPerM);
  });
  const sigma = Object.fromEntries(
    keys.map((key) => {
      const spread = draws.length > 2 ? standardDeviation(draws.map((d) => d[key])) : 0;
      const shape = SHAPE_SIGMA[key] * (key === 'exponent' ? 1 : envelope[key]);
      return [key, Math.hypot(spread, shape)];
    }),
  ) as unknown as FittedEnvelope['sigma'];
  return { envelope, sigma, laps: points.length, lean: leanSupport(all, envelope), speed: speedRows(all) };
}

/** Distribution function of a normal, roughly, to pick by it. */
function uniform(normal: number): number {
  return 1 / (1 + Math.exp(-1.702 * normal));
}

function pointsOf(lap: AlignedLap, dragPerM: number): Points | null {
  const { lengthM } = lap.run.circuit;
  const toM = Math.min(lap.coveredM, lengthM);
  const cells = cellsIn(0, toM, lengthM, lengthM > 1500 ? 3 : 1);
  const ridden = riddenOn(lap, 0, toM, cells);
  if (!ridden) return null;
  const { energy, pathPerStation, curvaturePerM, stepM } = ridden;
  const reach = 2;
  const n = cells - 2 * reach;
  const out = {
    speedMps: new Float64Array(n),
    pushMps2: new Float64Array(n),
    lateralMps2: new Float64Array(n),
    settled: new Float64Array(n),
  };
  for (let i = reach; i < cells - reach; i++) {
    let path = 0;
    for (let k = i - reach; k < i + reach; k++) path += (stepM * (pathPerStation[k]! + pathPerStation[k + 1]!)) / 2;
    const mean = (energy[i - 1]! + energy[i]! + energy[i + 1]!) / 3;
    out.speedMps[i - reach] = Math.sqrt(2 * mean);
    out.pushMps2[i - reach] = (energy[i + reach]! - energy[i - reach]!) / path + ROLLING_MPS2 + 2 * dragPerM * mean;
    out.lateralMps2[i - reach] = 2 * mean * Math.abs(curvaturePerM[i]!);
  }
  const on = DRIVE_ON * quantile(out.pushMps2, 0.95);
  let sinceS = 0;
  for (let i = 0; i < n; i++) {
    sinceS = out.pushMps2[i]! > on ? sinceS + stepM / out.speedMps[i]! : 0;
    out.settled[i] = sinceS > SETTLED_S ? 1 : 0;
  }
  return out;
}

function joined(points: readonly Points[]): Points {
  const join = (key: keyof Points): Float64Array => {
    const out = new Float64Array(points.reduce((sum, p) => sum + p[key].length, 0));
    let at = 0;
    for (const p of points) {
      out.set(p[key], at);
      at += p[key].length;
    }
    return out;
  };
  return {
    speedMps: join('speedMps'),
    pushMps2: join('pushMps2'),
    lateralMps2: join('lateralMps2'),
    settled: join('settled'),
  };
}

function fitted({ speedMps, pushMps2, lateralMps2, settled }: Points, dragPerM: number): Envelope {
  const bending = lateralMps2.filter((a) => a > 1e-9);
  const shown = quantile(bending, 0.985);
  const fast = quantile(speedMps, 0.5);
  const upright = (i: number): boolean => lateralMps2[i]! < UPRIGHT_SHARE * shown;
  const driving = picked(pushMps2, (i) => upright(i) && pushMps2[i]! > 0);
  const best = driving.length > 20 ? quantile(driving, 0.98) : Math.max(1e-6, ...driving);
  const powers = Float64Array.from(pushMps2, (p, i) =>
    upright(i) && speedMps[i]! > fast ? p * speedMps[i]! : Number.NaN,
  ).filter((p) => p > 0);
  const power = powers.length > 20 ? quantile(powers, QUANTILE) : best * fast;
  const slowing = picked(pushMps2, (i) => upright(i) && pushMps2[i]! < 0).map((p) => -p);
  const braking = slowing.length > 20 ? quantile(slowing, QUANTILE) : best;
  const base = {
    tractionMps2: best,
    powerWpkg: power,
    brakingMps2: braking,
    floorShare: FLOOR_SHARE,
    dragPerM,
    rollingMps2: ROLLING_MPS2,
  };
  // Frontier of the drive by lean, as a share of the upright one by the same measure; where power is the limit lean says
  // nothing.
  const settledIn = (from: number, to: number): number[] => {
    const out: number[] = [];
    for (let i = 0; i < pushMps2.length; i++) {
      const own = lateralMps2[i]! / shown;
      if (own >= from && own < to && settled[i] === 1 && power / speedMps[i]! > best) out.push(pushMps2[i]!);
    }
    return out;
  };
  const straight = settledIn(0, 0.3);
  const full = straight.length >= LEAST_IN_BIN ? quantile(straight, FRONTIER) : best;
  const frontier: { share: number; left: number; weight: number }[] = [];
  for (let share = 0.3; share < 1; share += LEAN_STEP) {
    const push = settledIn(share, share + LEAN_STEP);
    if (push.length < LEAST_IN_BIN) continue;
    const left = quantile(push, FRONTIER) / full;
    frontier.push({ share: share + LEAN_STEP / 2, left, weight: Math.sqrt(push.length) });
  }
  let [exponent, beyond] = [2, BEYOND];
  let least = Number.POSITIVE_INFINITY;
  for (const p of EXPONENTS)
    for (const b of BEYONDS) {
      let loss = (p - 2) ** 2 + 0.3 * (b - BEYOND) ** 2;
      for (const { share, left, weight } of frontier)
        loss += weight * (left - Math.max(FLOOR_SHARE, (1 - Math.min(1, share / b) ** p) ** (1 / p))) ** 2;
      if (loss < least) [least, exponent, beyond] = [loss, p, b];
    }
  return { ...base, lateralMps2: beyond * shown, exponent };
}

function picked(values: Float64Array, holds: (i: number) => boolean): Float64Array {
  return values.filter((_, i) => holds(i));
}

function leanSupport({ speedMps, pushMps2, lateralMps2 }: Points, e: Envelope): LeanSupport[] {
  const limit = DriveLimit.of(e);
  const edges = [0, 0.2, 0.4, 0.6, 0.8, 1.2];
  return edges.slice(0, -1).map((fromShare, k) => {
    const toShare = edges[k + 1]!;
    let [points, onFrontier] = [0, 0];
    for (let i = 0; i < pushMps2.length; i++) {
      const share = lateralMps2[i]! / e.lateralMps2;
      if (share < fromShare || share >= toShare || pushMps2[i]! <= 0) continue;
      points++;
      if (pushMps2[i]! >= (1 - NEAR_SHARE) * limit.at(1, speedMps[i]! ** 2 / 2, lateralMps2[i]! / speedMps[i]! ** 2))
        onFrontier++;
    }
    return { fromShare, toShare, points, onFrontier };
  });
}

function speedRows({ speedMps, pushMps2, lateralMps2 }: Points): SpeedRow[] {
  const top = quantile(speedMps, 1);
  return Array.from({ length: 8 }, (_, k): SpeedRow => {
    const [fromMps, toMps] = [(k * top) / 8, ((k + 1) * top) / 8];
    const here = (i: number): boolean => speedMps[i]! >= fromMps && speedMps[i]! < toMps + (k === 7 ? 1 : 0);
    const push = picked(pushMps2, here);
    const most = (values: Float64Array): number => (values.length > 0 ? Math.max(0, quantile(values, QUANTILE)) : 0);
    return {
      fromMps,
      toMps,
      points: push.length,
      driveMps2: most(push),
      brakingMps2: most(push.map((p) => -p)),
      lateralMps2: most(picked(lateralMps2, here)),
    };
  });
}
