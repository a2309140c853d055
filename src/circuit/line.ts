import { boxGrid, type Grid } from './grid.ts';
import { arcTo, closedPieces, type Pieces, speedAt } from './pieces.ts';

/**
 * A place on the line, to be written to. Heading counter-clockwise from east, in (-pi, pi]; curvature positive in left bends.
 *
 * A class, because the engine takes plain objects of equal keys for one kind, and elsewhere these keys hold arrays: numbers
 * would be kept as objects.
 */
export class LinePoint {
  eastM = 0;
  northM = 0;
  headingRad = 0;
  curvaturePerM = 0;
}

/** Foot of the perpendicular from a point, to be written to. Offset positive where the point lies left of travel. */
export class Foot {
  stationM = 0;
  offsetM = 0;
  headingRad = 0;
  curvaturePerM = 0;
}

/** A closed curve measured by its arc length. Methods reuse scratch space: not for use from several threads at once. */
export interface ClosedLine {
  readonly lengthM: number;
  /** Distinct points that the line was laid through. */
  readonly points: number;
  /** The place at any real station, wrapped around the line; writes to and returns `out`. A NaN station gives NaN. */
  at(stationM: number, out: LinePoint): LinePoint;
  /**
   * The local foot point that one reaches going along the line from station `nearM`, always towards the given point.
   * Writes to and returns `out`; station in [0, length). A NaN coordinate gives NaN.
   */
  foot(eastM: number, northM: number, nearM: number, out: Foot): Foot;
  /**
   * All places where the distance to the point is locally smallest and at most `radiusM`, sorted by station. Objects
   * in `out` are reused, more are added as needed.
   *
   * @returns how many were written to `out`; 0 where none is near enough or a coordinate is NaN
   */
  candidates(eastM: number, northM: number, radiusM: number, out: Foot[]): number;
}

/** Stretches that the search looks at as a whole: turn and length (as a share of the line) of each, at most. */
const STRETCH_TURN_RAD = 0.2;
const STRETCHES = 512;
/** Cells along the length of the line, for the search. */
const CELLS = 200;
/** Steps in parameter below this share of the line's length end the iteration; the next one would be its square. */
const SETTLED = 1e-12;

/** What lines that differ only in their start have in common. */
interface Curve {
  readonly pieces: Pieces;
  /** For each piece and once more for the first: x, y, dx/dt, dy/dt at its start. */
  readonly node: Float64Array;
  readonly speed: Float64Array;
  /** Piece that holds the start of each of equally long bins of station. */
  readonly bin: Int32Array;
  /** First piece of each stretch, and the count of pieces at the end. */
  readonly stretch: Int32Array;
  readonly grid: Grid;
  /** Stretches near a square that may hold a foot of one of its points, in order, and the square: such a point need not ask again. */
  readonly near: number[];
  readonly asked: { eastM: number; northM: number; radiusM: number; count: number };
}

function curveOf(pieces: Pieces): Curve {
  const { count, c, span, station, turn, lengthM } = pieces;
  const node = new Float64Array(4 * (count + 1));
  const speed = new Float64Array(count + 1);
  for (let p = 0; p <= count; p++) {
    const o = 8 * (p % count);
    node[4 * p] = c[o]!;
    node[4 * p + 1] = c[o + 4]!;
    node[4 * p + 2] = c[o + 1]!;
    node[4 * p + 3] = c[o + 5]!;
    speed[p] = Math.hypot(c[o + 1]!, c[o + 5]!);
  }
  const bin = new Int32Array(2 * count);
  for (let k = 0, p = 0; k < bin.length; k++) {
    while (p < count - 1 && station[p + 1]! <= (k * lengthM) / bin.length) p++;
    bin[k] = p;
  }
  const starts = [0];
  for (let p = 0, turned = 0; p < count; p++) {
    const first = starts.at(-1)!;
    const long = station[p + 1]! - station[first]! > lengthM / STRETCHES;
    if (p > first && (long || turned + turn[p]! > STRETCH_TURN_RAD)) {
      starts.push(p);
      turned = 0;
    }
    turned += turn[p]!;
  }
  const stretch = Int32Array.from([...starts, count]);
  const boxes = new Float64Array(4 * starts.length);
  for (let k = 0; k < starts.length; k++)
    for (let axis = 0; axis < 2; axis++) {
      let low = Number.POSITIVE_INFINITY;
      let high = Number.NEGATIVE_INFINITY;
      // A cubic lies within the hull of its four control points.
      for (let p = stretch[k]!; p < stretch[k + 1]!; p++) {
        const third = span[p]! / 3;
        const a = node[4 * p + axis]!;
        const b = node[4 * p + 4 + axis]!;
        const behind = a + third * node[4 * p + 2 + axis]!;
        const before = b - third * node[4 * p + 6 + axis]!;
        low = Math.min(low, a, b, behind, before);
        high = Math.max(high, a, b, behind, before);
      }
      boxes[4 * k + axis] = low;
      boxes[4 * k + 2 + axis] = high;
    }
  const asked = { eastM: Number.NaN, northM: Number.NaN, radiusM: Number.NaN, count: 0 };
  return { pieces, node, speed, bin, stretch, grid: boxGrid(boxes, lengthM / CELLS), near: [], asked };
}

/** Distance from (x, y) to the line, differentiated and times the distance: below 0 before a foot, above 0 after it. */
function slopeAtNode(node: Float64Array, p: number, x: number, y: number): number {
  const o = 4 * p;
  return (node[o]! - x) * node[o + 2]! + (node[o + 1]! - y) * node[o + 3]!;
}

function slopeWithin(c: Float64Array, o: number, t: number, x: number, y: number): number {
  const rx = c[o]! + t * (c[o + 1]! + t * (c[o + 2]! + t * c[o + 3]!)) - x;
  const ry = c[o + 4]! + t * (c[o + 5]! + t * (c[o + 6]! + t * c[o + 7]!)) - y;
  const dx = c[o + 1]! + t * (2 * c[o + 2]! + 3 * t * c[o + 3]!);
  const dy = c[o + 5]! + t * (2 * c[o + 6]! + 3 * t * c[o + 7]!);
  return rx * dx + ry * dy;
}

class SplineLine implements ClosedLine {
  readonly curve: Curve;
  /** Station on the curve of this line's station 0. */
  readonly originM: number;
  readonly lengthM: number;
  readonly points: number;

  constructor(curve: Curve, originM: number) {
    this.curve = curve;
    this.originM = originM;
    this.lengthM = curve.pieces.lengthM;
    this.points = curve.pieces.points;
  }

  at(stationM: number, out: LinePoint): LinePoint {
    const { pieces } = this.curve;
    const { c, span, station } = pieces;
    const s = this.wrap(stationM + this.originM);
    if (Number.isNaN(s)) {
      out.eastM = out.northM = out.headingRad = out.curvaturePerM = Number.NaN;
      return out;
    }
    const p = this.pieceAt(s);
    const o = 8 * p;
    const h = span[p]!;
    const distance = s - station[p]!;
    let t = this.guess(p, distance);
    for (let round = 0; round < 8; round++) {
      const error = arcTo(c, o, t) - distance;
      if (Math.abs(error) <= SETTLED * 0.01 * pieces.lengthM) break;
      t = Math.min(h, Math.max(0, t - error / speedAt(c, o, t)));
    }
    out.eastM = c[o]! + t * (c[o + 1]! + t * (c[o + 2]! + t * c[o + 3]!));
    out.northM = c[o + 4]! + t * (c[o + 5]! + t * (c[o + 6]! + t * c[o + 7]!));
    this.direction(o, t, out);
    return out;
  }

  foot(eastM: number, northM: number, nearM: number, out: Foot): Foot {
    const { pieces, node } = this.curve;
    const { c, span, station, count } = pieces;
    const s = this.wrap(nearM + this.originM);
    if (Number.isNaN(s + eastM + northM)) {
      out.stationM = out.offsetM = out.headingRad = out.curvaturePerM = Number.NaN;
      return out;
    }
    let p = this.pieceAt(s);
    let t = this.guess(p, s - station[p]!);
    const start = slopeWithin(c, 8 * p, t, eastM, northM);
    // Go downhill from piece to piece until the distance stops falling. A full round without an end is a circle seen
    // from its middle: any station is as good, so the last one is taken.
    if (start < 0) {
      let before = start;
      for (let walked = 0; walked <= count; walked++) {
        const after = slopeAtNode(node, p + 1, eastM, northM);
        if (after >= 0)
          return this.write(p, this.root(p, t, span[p]!, before, after, eastM, northM), eastM, northM, out);
        before = after;
        p = p + 1 === count ? 0 : p + 1;
        t = 0;
      }
    } else if (start > 0) {
      let after = start;
      for (let walked = 0; walked <= count; walked++) {
        const before = slopeAtNode(node, p, eastM, northM);
        if (before <= 0) return this.write(p, this.root(p, 0, t, before, after, eastM, northM), eastM, northM, out);
        after = before;
        p = p === 0 ? count - 1 : p - 1;
        t = span[p]!;
      }
    }
    return this.write(p, t, eastM, northM, out);
  }

  candidates(eastM: number, northM: number, radiusM: number, out: Foot[]): number {
    const { node, stretch, near, pieces } = this.curve;
    const nearby = this.nearby(eastM, northM, radiusM);
    let found = 0;
    let end = -1;
    let atEnd = 0;
    for (let k = 0; k < nearby; k++) {
      const first = stretch[near[k]!]!;
      let before = first === end ? atEnd : slopeAtNode(node, first, eastM, northM);
      end = stretch[near[k]! + 1]!;
      atEnd = slopeAtNode(node, end, eastM, northM);
      if (before >= 0 || atEnd < 0) continue;
      const foot = (out[found] ??= new Foot());
      let closest = Number.POSITIVE_INFINITY;
      let closestPiece = first;
      let closestT = 0;
      for (let p = first; p < end; p++) {
        const after = slopeAtNode(node, p + 1, eastM, northM);
        if (before < 0 && after >= 0) {
          const t = this.root(p, 0, pieces.span[p]!, before, after, eastM, northM);
          const distance = Math.abs(this.write(p, t, eastM, northM, foot).offsetM);
          if (distance < closest) {
            closest = distance;
            closestPiece = p;
            closestT = t;
          }
        }
        before = after;
      }
      if (closest > radiusM) continue;
      // Written anew only where a later root of the stretch lay farther away.
      if (Math.abs(foot.offsetM) !== closest) this.write(closestPiece, closestT, eastM, northM, foot);
      // Few are found: keep them sorted as they come.
      let place = found++;
      while (place > 0 && out[place - 1]!.stationM > foot.stationM) {
        out[place] = out[place - 1]!;
        place--;
      }
      out[place] = foot;
    }
    return found;
  }

  /** Writes the stretches that lie within the radius, and some around, to the curve's list; returns how many. */
  private nearby(eastM: number, northM: number, radiusM: number): number {
    const { grid, near, asked } = this.curve;
    const slackM = this.lengthM / CELLS / 2;
    const apartM = Math.max(Math.abs(eastM - asked.eastM), Math.abs(northM - asked.northM));
    if (apartM <= slackM && radiusM === asked.radiusM) return asked.count;
    const around = grid.near(eastM, northM, radiusM + slackM, near);
    let count = 0;
    for (let k = 0; k < around; k++) {
      const stretch = near[k]!;
      if (!this.hasFoot(stretch, eastM, northM, slackM)) continue;
      // Few are left: keep them sorted as they come.
      let place = count++;
      for (; place > 0 && near[place - 1]! > stretch; place--) near[place] = near[place - 1]!;
      near[place] = stretch;
    }
    asked.eastM = eastM;
    asked.northM = northM;
    asked.radiusM = radiusM;
    asked.count = count;
    return count;
  }

  /** Whether the distance may fall at the start of a stretch, and rise at its end, for some point of a square. */
  private hasFoot(k: number, eastM: number, northM: number, halfM: number): boolean {
    const { node, stretch } = this.curve;
    const first = stretch[k]!;
    const end = stretch[k + 1]!;
    // The slope changes evenly across the square: by no more than this from its middle, with room for rounding.
    const within = (p: number): number => 1.001 * halfM * (Math.abs(node[4 * p + 2]!) + Math.abs(node[4 * p + 3]!));
    return (
      slopeAtNode(node, first, eastM, northM) < within(first) && slopeAtNode(node, end, eastM, northM) > -within(end)
    );
  }

  private wrap(stationM: number): number {
    const length = this.lengthM;
    if (stationM >= 0 && stationM < length) return stationM;
    const wrapped = stationM - length * Math.floor(stationM / length);
    return wrapped >= length ? 0 : wrapped;
  }

  private pieceAt(s: number): number {
    const { bin, pieces } = this.curve;
    const { station, count, lengthM } = pieces;
    let p = bin[Math.min(bin.length - 1, Math.floor((s / lengthM) * bin.length))]!;
    while (p > 0 && station[p]! > s) p--;
    while (p < count - 1 && station[p + 1]! <= s) p++;
    return p;
  }

  /** Parameter at a distance into a piece: cubic Hermite interpolation of the inverse, good to a small part of a step. */
  private guess(p: number, distance: number): number {
    const { pieces, speed } = this.curve;
    const h = pieces.span[p]!;
    const length = pieces.station[p + 1]! - pieces.station[p]!;
    const u = distance / length;
    const a = length / speed[p]! - h;
    const b = h - length / speed[p + 1]!;
    const t = u * (h + (1 - u) * (a * (1 - u) + b * u));
    // Where the curve all but stops (a cusp), the straight guess does.
    return t >= 0 && t <= h ? t : u * h;
  }

  /** Where the slope of the distance changes sign within [low, high] of a piece: Newton's method held in the bracket. */
  private root(p: number, low: number, high: number, fLow: number, fHigh: number, x: number, y: number): number {
    const { c } = this.curve.pieces;
    const o = 8 * p;
    const settled = SETTLED * this.lengthM;
    let a = low;
    let b = high;
    let t = fHigh > fLow ? a - (fLow * (b - a)) / (fHigh - fLow) : (a + b) / 2;
    for (let round = 0; round < 60; round++) {
      const rx = c[o]! + t * (c[o + 1]! + t * (c[o + 2]! + t * c[o + 3]!)) - x;
      const ry = c[o + 4]! + t * (c[o + 5]! + t * (c[o + 6]! + t * c[o + 7]!)) - y;
      const dx = c[o + 1]! + t * (2 * c[o + 2]! + 3 * t * c[o + 3]!);
      const dy = c[o + 5]! + t * (2 * c[o + 6]! + 3 * t * c[o + 7]!);
      const f = rx * dx + ry * dy;
      if (f === 0) return t;
      if (f < 0) a = t;
      else b = t;
      const rise =
        dx * dx + dy * dy + rx * 2 * (c[o + 2]! + 3 * t * c[o + 3]!) + ry * 2 * (c[o + 6]! + 3 * t * c[o + 7]!);
      let next = t - f / rise;
      if (!(rise > 0 && next >= a && next <= b)) next = (a + b) / 2;
      const step = Math.abs(next - t);
      t = next;
      if (step <= settled) break;
    }
    return t;
  }

  /** Heading and curvature at parameter `t` of the piece whose coefficients start at `o`. */
  private direction(o: number, t: number, out: { headingRad: number; curvaturePerM: number }): void {
    const { c } = this.curve.pieces;
    const dx = c[o + 1]! + t * (2 * c[o + 2]! + 3 * t * c[o + 3]!);
    const dy = c[o + 5]! + t * (2 * c[o + 6]! + 3 * t * c[o + 7]!);
    const ddx = 2 * (c[o + 2]! + 3 * t * c[o + 3]!);
    const ddy = 2 * (c[o + 6]! + 3 * t * c[o + 7]!);
    const square = dx * dx + dy * dy;
    const heading = Math.atan2(dy, dx);
    out.headingRad = heading === -Math.PI ? Math.PI : heading;
    out.curvaturePerM = (dx * ddy - dy * ddx) / (square * Math.sqrt(square));
  }

  private write(p: number, t: number, x: number, y: number, out: Foot): Foot {
    const { c, station } = this.curve.pieces;
    const o = 8 * p;
    const rx = x - (c[o]! + t * (c[o + 1]! + t * (c[o + 2]! + t * c[o + 3]!)));
    const ry = y - (c[o + 4]! + t * (c[o + 5]! + t * (c[o + 6]! + t * c[o + 7]!)));
    const dx = c[o + 1]! + t * (2 * c[o + 2]! + 3 * t * c[o + 3]!);
    const dy = c[o + 5]! + t * (2 * c[o + 6]! + 3 * t * c[o + 7]!);
    out.stationM = this.wrap(station[p]! + arcTo(c, o, t) - this.originM);
    out.offsetM = (dx * ry - dy * rx) / Math.sqrt(dx * dx + dy * dy);
    this.direction(o, t, out);
    return out;
  }
}

/**
 * Closed line through points: twice continuously differentiable, stations by true arc length from the first point.
 *
 * @param eastM,northM points in order of travel, metres; repeated points and a repeated first point are dropped
 * @throws RangeError where fewer than 4 distinct points remain or one is not a number
 */
export function closedLine(eastM: ArrayLike<number>, northM: ArrayLike<number>): ClosedLine {
  return new SplineLine(curveOf(closedPieces(eastM, northM)), 0);
}

/** The same curve with station 0 moved to `stationM` of the given line. Nothing is copied. */
export function startAt(line: ClosedLine, stationM: number): ClosedLine {
  if (!(line instanceof SplineLine)) throw new TypeError('only a line made by closedLine can be moved');
  const origin = line.originM + stationM;
  return new SplineLine(line.curve, origin - line.lengthM * Math.floor(origin / line.lengthM));
}
