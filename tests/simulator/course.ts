import { softBlend } from './smooth.ts';

/** A stretch of centre line whose curvature (1/m, positive in left bends) goes smoothly from one value to another. */
export interface Piece {
  readonly lengthM: number;
  readonly from: number;
  readonly to: number;
}

/** A closed course on an even grid of stations; index i lies at i * stepM, and index `count` would be index 0 again. */
export interface Course {
  readonly lengthM: number;
  readonly stepM: number;
  readonly count: number;
  readonly x: Float64Array;
  readonly y: Float64Array;
  /** Counter-clockwise from east, unwrapped along the lap. */
  readonly heading: Float64Array;
  /** Turning over one lap: 2 pi, -2 pi, or 0 for a figure of eight. */
  readonly turning: number;
  readonly curvature: Float64Array;
  readonly altitude: Float64Array;
}

/** A bend of the circuit as its people name it, with where its pieces begin and end (m from the gate). */
export interface NamedBend {
  readonly name: string;
  readonly fromM: number;
  readonly toM: number;
}

const GAUSS_X = [-0.906179845938664, -0.5384693101056831, 0, 0.5384693101056831, 0.906179845938664];
const GAUSS_W = [0.2369268850561891, 0.4786286704993665, 0.5688888888888889, 0.4786286704993665, 0.2369268850561891];

export const straight = (lengthM: number): Piece => ({ lengthM, from: 0, to: 0 });

/**
 * A bend of `angleDeg` (positive left): a transition of `inM`, an arc of `radiusM`, a transition of `outM`.
 * A transition turns by half of what an arc of its length would, whatever the shape of its blend.
 */
export function bend(angleDeg: number, radiusM: number, inM: number, outM = inM): Piece[] {
  const k = Math.sign(angleDeg) / radiusM;
  const arcM = ((Math.abs(angleDeg) * Math.PI) / 180) * radiusM - (inM + outM) / 2;
  if (arcM < 0) throw new Error(`a bend of ${angleDeg} deg at ${radiusM} m is too short for its transitions`);
  return [
    { lengthM: inM, from: 0, to: k },
    { lengthM: arcM, from: k, to: k },
    { lengthM: outM, from: k, to: 0 },
  ];
}

/** Transition between two curvatures of the same bend. */
export const easing = (lengthM: number, from: number, to: number): Piece => ({ lengthM, from, to });

const curvatureAt = (p: Piece, u: number): number => p.from + (p.to - p.from) * softBlend(u);
/** Integral of the quintic blend from 0 to u, times the length. */
const turnedAt = (p: Piece, u: number): number =>
  p.lengthM * (p.from * u + (p.to - p.from) * (u ** 6 - 3 * u ** 5 + 2.5 * u ** 4));

/** Displacement along a piece from u0 to u1, started at heading `h` of its beginning. */
function advance(p: Piece, h: number, u0: number, u1: number): [number, number] {
  let x = 0;
  let y = 0;
  const half = (u1 - u0) / 2;
  for (let g = 0; g < 5; g++) {
    const angle = h + turnedAt(p, u0 + half * (1 + GAUSS_X[g]!));
    x += GAUSS_W[g]! * Math.cos(angle);
    y += GAUSS_W[g]! * Math.sin(angle);
  }
  return [x * half * p.lengthM, y * half * p.lengthM];
}

/** End of a chain of pieces that begins at the origin, heading east. */
function endOf(pieces: readonly Piece[]): { x: number; y: number; heading: number } {
  let [x, y, heading] = [0, 0, 0];
  for (const p of pieces) {
    const parts = Math.max(1, Math.ceil(p.lengthM));
    for (let i = 0; i < parts; i++) {
      const [dx, dy] = advance(p, heading, i / parts, (i + 1) / parts);
      x += dx;
      y += dy;
    }
    heading += turnedAt(p, 1);
  }
  return { x, y, heading };
}

/**
 * Changes the lengths of two straights (indices into `pieces`, not parallel) so that the course closes exactly.
 * The end moves along a straight's own heading when its length changes, so the two lengths solve a linear system.
 */
export function closeCourse(pieces: readonly Piece[], first: number, second: number): Piece[] {
  const headingAt = (index: number) => endOf(pieces.slice(0, index)).heading;
  const end = endOf(pieces);
  const [a, b] = [headingAt(first), headingAt(second)];
  const det = Math.cos(a) * Math.sin(b) - Math.sin(a) * Math.cos(b);
  if (Math.abs(det) < 1e-3) throw new Error('the two straights are parallel: they cannot close the course');
  const da = (-end.x * Math.sin(b) + end.y * Math.cos(b)) / det;
  const db = (-end.y * Math.cos(a) + end.x * Math.sin(a)) / det;
  const closed = [...pieces];
  closed[first] = straight(pieces[first]!.lengthM + da);
  closed[second] = straight(pieces[second]!.lengthM + db);
  if (closed[first].lengthM <= 0 || closed[second].lengthM <= 0)
    throw new Error(`closing needs straights of ${closed[first].lengthM} m and ${closed[second].lengthM} m`);
  return closed;
}

/**
 * The course of closed pieces, on a grid of about `stepM`.
 * @param altitude metres above datum as a function of the station, closed over the lap
 * @throws where the ends miss each other by more than a tenth of a millimetre
 */
export function courseFromPieces(
  pieces: readonly Piece[],
  altitude: (stationM: number, lengthM: number) => number = () => 0,
  stepM = 0.25,
): Course {
  const lengthM = pieces.reduce((sum, p) => sum + p.lengthM, 0);
  const count = Math.round(lengthM / stepM);
  const step = lengthM / count;
  const course = emptyCourse(lengthM, step, count);
  let [x, y, heading, startM, index] = [0, 0, 0, 0, 0];
  let u = 0;
  for (let i = 0; i <= count; i++) {
    const target = i * step;
    // walk over the ends of pieces up to the node
    while (index < pieces.length) {
      const p = pieces[index]!;
      const uTo = p.lengthM === 0 ? 1 : Math.min(1, (target - startM) / p.lengthM);
      const [dx, dy] = advance(p, heading, u, uTo);
      x += dx;
      y += dy;
      u = uTo;
      if (startM + p.lengthM > target || index === pieces.length - 1) break;
      startM += p.lengthM;
      heading += turnedAt(p, 1);
      index++;
      u = 0;
    }
    const p = pieces[index]!;
    if (i === count) {
      if (Math.hypot(x, y) > 1e-4) throw new Error(`the course misses its own start by ${Math.hypot(x, y)} m`);
      return { ...course, turning: heading + turnedAt(p, u) };
    }
    course.x[i] = x;
    course.y[i] = y;
    course.heading[i] = heading + turnedAt(p, u);
    course.curvature[i] = curvatureAt(p, u);
    course.altitude[i] = altitude(target, lengthM);
  }
  return course;
}

/** The course of the periodic cubic spline through points `[x, y]` (m), first point not repeated, by arc length. */
export function courseFromPoints(points: readonly (readonly [number, number])[], stepM = 0.25): Course {
  const n = points.length;
  const knots = new Float64Array(n + 1);
  for (let i = 0; i < n; i++) {
    const [a, b] = [points[i]!, points[(i + 1) % n]!];
    knots[i + 1] = knots[i]! + Math.hypot(b[0] - a[0], b[1] - a[1]);
  }
  const xs = periodicSpline(
    knots,
    points.map((p) => p[0]),
  );
  const ys = periodicSpline(
    knots,
    points.map((p) => p[1]),
  );
  // arc length by quadrature on each knot interval, then stations by inversion with Newton's method
  const speed = (t: number) => Math.hypot(xs(t)[1], ys(t)[1]);
  const lengthTo = (a: number, b: number) => {
    let sum = 0;
    for (let g = 0; g < 5; g++) sum += GAUSS_W[g]! * speed(a + ((b - a) / 2) * (1 + GAUSS_X[g]!));
    return (sum * (b - a)) / 2;
  };
  const arc = new Float64Array(n + 1);
  for (let i = 0; i < n; i++) {
    const middle = (knots[i]! + knots[i + 1]!) / 2;
    arc[i + 1] = arc[i]! + lengthTo(knots[i]!, middle) + lengthTo(middle, knots[i + 1]!);
  }
  const lengthM = arc[n]!;
  const count = Math.round(lengthM / stepM);
  const course = emptyCourse(lengthM, lengthM / count, count);
  let k = 0;
  let last = 0;
  const headingAt = (t: number) => {
    const raw = Math.atan2(ys(t)[1], xs(t)[1]);
    last = raw + 2 * Math.PI * Math.round((last - raw) / (2 * Math.PI));
    return last;
  };
  for (let i = 0; i < count; i++) {
    const target = (i * lengthM) / count;
    while (arc[k + 1]! < target) k++;
    let t = knots[k]! + ((target - arc[k]!) * (knots[k + 1]! - knots[k]!)) / (arc[k + 1]! - arc[k]!);
    for (let pass = 0; pass < 4; pass++) t += (target - arc[k]! - lengthTo(knots[k]!, t)) / speed(t);
    const [x, dx, ddx] = xs(t);
    const [y, dy, ddy] = ys(t);
    course.x[i] = x;
    course.y[i] = y;
    course.heading[i] = headingAt(t);
    course.curvature[i] = (dx * ddy - dy * ddx) / (dx * dx + dy * dy) ** 1.5;
  }
  return { ...course, turning: headingAt(knots[n]!) - course.heading[0]! };
}

function emptyCourse(lengthM: number, stepM: number, count: number): Course {
  const array = () => new Float64Array(count);
  return {
    lengthM,
    stepM,
    count,
    turning: 0,
    x: array(),
    y: array(),
    heading: array(),
    curvature: array(),
    altitude: array(),
  };
}

/** Value and two derivatives of the periodic cubic spline; the cyclic system is solved by Gauss–Seidel (it is dominant). */
function periodicSpline(knots: Float64Array, values: readonly number[]): (t: number) => [number, number, number] {
  const n = values.length;
  const h = (i: number) => knots[i + 1]! - knots[i]!;
  const m = new Float64Array(n);
  for (let pass = 0; pass < 80; pass++)
    for (let i = 0; i < n; i++) {
      const [before, after] = [(i + n - 1) % n, (i + 1) % n];
      const [hb, ha] = [h(before), h(i)];
      const right = 6 * ((values[after]! - values[i]!) / ha - (values[i]! - values[before]!) / hb);
      m[i] = (right - hb * m[before]! - ha * m[after]!) / (2 * (hb + ha));
    }
  return (t) => {
    let [low, high] = [0, n];
    while (high - low > 1) {
      const middle = (low + high) >> 1;
      if (knots[middle]! <= t) low = middle;
      else high = middle;
    }
    const [v0, v1, m0, m1, w] = [values[low]!, values[(low + 1) % n]!, m[low]!, m[(low + 1) % n]!, h(low)];
    const [a, b] = [(knots[low + 1]! - t) / w, (t - knots[low]!) / w];
    return [
      a * v0 + b * v1 + (((a ** 3 - a) * m0 + (b ** 3 - b) * m1) * w * w) / 6,
      (v1 - v0) / w + ((-(3 * a * a - 1) * m0 + (3 * b * b - 1) * m1) * w) / 6,
      a * m0 + b * m1,
    ];
  };
}
