import { ringSmoother, ringValue } from '../numbers/periodicSmooth.ts';
import { median } from '../numbers/quantile.ts';
import { type ClosedLine, closedLine, type Foot, LinePoint } from './line.ts';

/** Points of the answer. */
const POINTS = 1500;
/** Waves shorter than this many widths of the course do not come through, so that corners of a drawn edge do not. */
const CUTOFF_WIDTHS = 1;
/** Places at which the edges are looked at first. */
const PROBES = 100;
/** Samples of each edge for the pairing: a third of the course's width apart, within these numbers. */
const LEAST_SAMPLES = 1500;
const MOST_SAMPLES = 8000;
/** How far, as a share of the lap, one edge may be ahead of the other in the pairing. */
const LEAD = 0.15;

const point = (): LinePoint => new LinePoint();

/**
 * Line halfway between two edges, in the direction of the left one's points.
 *
 * Method: samples of both edges are paired in order around the lap so that the sum of squared distances is least; the
 * middles of the pairs are smoothed. On a course of even width the answer is within 2 % of the width of the middle; in a
 * bend tighter than half the width there is no middle, and the answer is a line one can ride.
 *
 * @param left,right points of each edge as [east, north], metres, closed or not quite; either may run either way
 * @returns evenly spaced points, about 1500
 * @throws RangeError where an edge has fewer than 4 distinct points
 */
export function centreLine(
  left: readonly Float64Array[],
  right: readonly Float64Array[],
): { eastM: Float64Array; northM: Float64Array } {
  const pairs = middles(closedLine(left[0]!, left[1]!), closedLine(right[0]!, right[1]!));
  const line = smoothed(pairs.eastM, pairs.northM, pairs.cutoff);
  // The answer starts beside the first point of the left edge.
  const near: Foot[] = [];
  const count = line.candidates(left[0]![0]!, left[1]![0]!, line.lengthM, near);
  const [first] = near.slice(0, count).sort((a, b) => Math.abs(a.offsetM) - Math.abs(b.offsetM));
  const [eastM, northM] = [new Float64Array(POINTS), new Float64Array(POINTS)];
  const place = point();
  for (let k = 0; k < POINTS; k++) {
    line.at((first?.stationM ?? 0) + (k / POINTS) * line.lengthM, place);
    eastM[k] = place.eastM;
    northM[k] = place.northM;
  }
  return { eastM, northM };
}

/** Smooth closed line through points in order around it. */
function smoothed(eastM: Float64Array, northM: Float64Array, cutoff: number): ClosedLine {
  const share = eastM.map((_, k) => k / eastM.length);
  const data = { share, values: [eastM, northM], weight: share.map(() => 1) };
  const curve = ringSmoother(data, POINTS / 2).smooth(cutoff);
  const points = Array.from({ length: POINTS }, (_, k) => ringValue(curve, k / POINTS));
  return closedLine(
    points.map(([east]) => east!),
    points.map(([, north]) => north!),
  );
}

/** Middles of the pairs of samples of both edges. */
function middles(left: ClosedLine, right: ClosedLine): { eastM: Float64Array; northM: Float64Array; cutoff: number } {
  const place = point();
  const near: Foot[] = [];
  // How wide the course is, which way the right edge runs, and where to start the pairing: at a place as wide as most,
  // with both edges side by side. Where a course crosses itself an edge is near to one that it does not belong to.
  const probes: { width: number; leftM: number; rightM: number; along: number }[] = [];
  for (let k = 0; k < PROBES; k++) {
    const leftM = (k / PROBES) * left.lengthM;
    left.at(leftM, place);
    const count = right.candidates(place.eastM, place.northM, right.lengthM, near);
    const [foot] = near.slice(0, count).sort((a, b) => Math.abs(a.offsetM) - Math.abs(b.offsetM));
    if (!foot) continue;
    const along = Math.cos(foot.headingRad - place.headingRad);
    probes.push({ width: Math.abs(foot.offsetM), leftM, rightM: foot.stationM, along });
  }
  const width = median(probes.map((probe) => probe.width));
  const forward = probes.reduce((sum, { along }) => sum + along, 0);
  const oddness = ({ width: own, along }: (typeof probes)[number]): number =>
    Math.abs(own / width - 1) + 2 * (1 - Math.sign(forward) * along);
  const start = probes.reduce((best, probe) => (oddness(probe) < oddness(best) ? probe : best));
  const wanted = Math.ceil((3 * left.lengthM) / width);
  const n = Math.min(MOST_SAMPLES, Math.max(LEAST_SAMPLES, wanted));
  const along = (line: ClosedLine, from: number, way: number) => {
    const [x, y] = [new Float64Array(n + 1), new Float64Array(n + 1)];
    for (let k = 0; k <= n; k++) {
      line.at(from + (way * k * line.lengthM) / n, place);
      x[k] = place.eastM;
      y[k] = place.northM;
    }
    return [x, y] as const;
  };
  const [lx, ly] = along(left, start.leftM, 1);
  const [rx, ry] = along(right, start.rightM, forward < 0 ? -1 : 1);
  const pairs = pairing(lx, ly, rx, ry);

  // Both ends of the pairing are the same pair.
  const inner = pairs.slice(0, -1);
  return {
    eastM: Float64Array.from(inner, ([i, j]) => (lx[i]! + rx[j]!) / 2),
    northM: Float64Array.from(inner, ([i, j]) => (ly[i]! + ry[j]!) / 2),
    cutoff: (CUTOFF_WIDTHS * width) / left.lengthM,
  };
}

/**
 * Pairs (i, j) from (0, 0) to (n, n), each step one further on either side or both, with the least sum of squared
 * distances: dynamic programming in a band about the diagonal.
 */
function pairing(lx: Float64Array, ly: Float64Array, rx: Float64Array, ry: Float64Array): [number, number][] {
  const n = lx.length - 1;
  const band = Math.ceil(LEAD * n);
  const size = 2 * band + 1;
  const from = new Uint8Array((n + 1) * size);
  let before = new Float64Array(size).fill(Number.POSITIVE_INFINITY);
  let here = before.slice();
  for (let i = 0; i <= n; i++) {
    here.fill(Number.POSITIVE_INFINITY);
    const end = Math.min(n, i + band);
    for (let j = Math.max(0, i - band); j <= end; j++) {
      const cell = j - i + band;
      const both = i > 0 && j > 0 ? before[cell]! : Number.POSITIVE_INFINITY;
      const leftOn = i > 0 && cell + 1 < size ? before[cell + 1]! : Number.POSITIVE_INFINITY;
      const rightOn = j > 0 && cell > 0 ? here[cell - 1]! : Number.POSITIVE_INFINITY;
      const least = i === 0 && j === 0 ? 0 : Math.min(both, leftOn, rightOn);
      from[i * size + cell] = least === both ? 0 : least === leftOn ? 1 : 2;
      here[cell] = least + (lx[i]! - rx[j]!) ** 2 + (ly[i]! - ry[j]!) ** 2;
    }
    [before, here] = [here, before];
  }
  const pairs: [number, number][] = [[n, n]];
  for (let [i, j] = [n, n]; i > 0 || j > 0; ) {
    const step = from[i * size + j - i + band]!;
    if (step !== 2 && i > 0) i--;
    if (step !== 1 && j > 0) j--;
    pairs.push([i, j]);
  }
  return pairs.reverse();
}
