import { periodicSlopes } from '../numbers/periodicSpline.ts';
import { GAUSS_PLACES, GAUSS_WEIGHTS } from '../numbers/quadrature.ts';

/**
 * A closed curve cut into cubic pieces that each bend little. Piece p holds, for t in [0, `span[p]`],
 * x = c[8p] + c[8p+1] t + c[8p+2] t² + c[8p+3] t³, and y likewise from c[8p+4].
 */
export interface Pieces {
  readonly count: number;
  readonly points: number;
  readonly lengthM: number;
  readonly c: Float64Array;
  readonly span: Float64Array;
  /** Station at the start of each piece, and the length of the curve as the last entry. */
  readonly station: Float64Array;
  /** Absolute angle that each piece turns through, radians. */
  readonly turn: Float64Array;
}

/** A piece is halved until its ends differ by no more than this in direction. */
const LARGEST_TURN_RAD = 0.2;
/** Relative to the closed polygon: what one piece may miss in length, and how close points count as one. */
const LENGTH_ERROR = 1e-14;
const SAME_POINT = 1e-9;
const MOST_HALVINGS = 6;

const [G0, G1, G2, G3, G4] = GAUSS_PLACES as [number, number, number, number, number];
const [W0, W1, W2, W3, W4] = GAUSS_WEIGHTS as [number, number, number, number, number];

/** Speed |dr/dt| of the piece whose coefficients start at `o`. */
export function speedAt(c: Float64Array, o: number, t: number): number {
  const dx = c[o + 1]! + t * (2 * c[o + 2]! + 3 * t * c[o + 3]!);
  const dy = c[o + 5]! + t * (2 * c[o + 6]! + 3 * t * c[o + 7]!);
  return Math.sqrt(dx * dx + dy * dy);
}

/** Arc length of the piece whose coefficients start at `o`, from 0 to `t`. Written out: this is the innermost loop. */
export function arcTo(c: Float64Array, o: number, t: number): number {
  return (
    t *
    (W0 * speedAt(c, o, t * G0) +
      W1 * speedAt(c, o, t * G1) +
      W2 * speedAt(c, o, t * G2) +
      W3 * speedAt(c, o, t * G3) +
      W4 * speedAt(c, o, t * G4))
  );
}

/** Coefficients of the same cubic, counted from `from`, to `out`. */
function shifted(c: Float64Array, from: number, out: Float64Array): void {
  for (let k = 0; k < 8; k += 4) {
    const a = c[k]!;
    const b = c[k + 1]!;
    const q = c[k + 2]!;
    const d = c[k + 3]!;
    out[k] = a + from * (b + from * (q + from * d));
    out[k + 1] = b + from * (2 * q + 3 * from * d);
    out[k + 2] = q + 3 * from * d;
    out[k + 3] = d;
  }
}

/** Angle between the directions at both ends of a piece. */
function turnOf(c: Float64Array, h: number): number {
  const dx = c[1]! + h * (2 * c[2]! + 3 * h * c[3]!);
  const dy = c[5]! + h * (2 * c[6]! + 3 * h * c[7]!);
  return Math.abs(Math.atan2(c[1]! * dy - c[5]! * dx, c[1]! * dx + c[5]! * dy));
}

/** Points without repetitions; a closing point equal to the first goes too. */
function distinct(eastM: ArrayLike<number>, northM: ArrayLike<number>): { x: number[]; y: number[] } {
  const given = Math.min(eastM.length, northM.length);
  let perimeter = 0;
  for (let i = 0; i < given; i++) {
    const j = (i + 1) % given;
    perimeter += Math.hypot(eastM[j]! - eastM[i]!, northM[j]! - northM[i]!);
  }
  if (!Number.isFinite(perimeter)) throw new RangeError(`a place that is not a number among ${given} points`);
  const near = SAME_POINT * perimeter;
  const x: number[] = [];
  const y: number[] = [];
  for (let i = 0; i < given; i++) {
    const last = x.length - 1;
    if (last >= 0 && Math.hypot(eastM[i]! - x[last]!, northM[i]! - y[last]!) <= near) continue;
    x.push(eastM[i]!);
    y.push(northM[i]!);
  }
  while (x.length > 1 && Math.hypot(x[0]! - x.at(-1)!, y[0]! - y.at(-1)!) <= near) {
    x.pop();
    y.pop();
  }
  if (x.length < 4) {
    throw new RangeError(`${x.length} distinct points among ${given}; a closed line needs 4`);
  }
  return { x, y };
}

/**
 * The closed, twice continuously differentiable cubic spline through the points, over chord length, cut into pieces that
 * turn little and whose length one Gauss–Legendre rule gets right to rounding.
 *
 * @param eastM,northM points in order of travel, metres; repeated points and a repeated first point are dropped
 * @throws RangeError where fewer than 4 distinct points remain or one is not a number
 */
export function closedPieces(eastM: ArrayLike<number>, northM: ArrayLike<number>): Pieces {
  const { x, y } = distinct(eastM, northM);
  const n = x.length;
  x.push(x[0]!);
  y.push(y[0]!);
  const knots = new Float64Array(n + 1);
  for (let i = 0; i < n; i++) knots[i + 1] = knots[i]! + Math.hypot(x[i + 1]! - x[i]!, y[i + 1]! - y[i]!);
  const perimeter = knots[n]!;
  const slopeX = periodicSlopes(knots, Float64Array.from(x));
  const slopeY = periodicSlopes(knots, Float64Array.from(y));

  const coefficients: number[] = [];
  const spans: number[] = [];
  const turns: number[] = [];
  const stations: number[] = [0];
  const whole = new Float64Array(8);
  const cut = new Float64Array(8);
  const half = new Float64Array(8);
  const lengths = new Float64Array(2 ** MOST_HALVINGS);
  const bends = new Float64Array(2 ** MOST_HALVINGS);
  const cubic = (o: number, h: number, a: number, b: number, sa: number, sb: number): void => {
    const secant = (b - a) / h;
    whole[o] = a;
    whole[o + 1] = sa;
    whole[o + 2] = (3 * secant - 2 * sa - sb) / h;
    whole[o + 3] = (sa + sb - 2 * secant) / (h * h);
  };
  /** Measures part k, `h` long, which lies in `cut`; says whether it need not be halved. */
  const measured = (k: number, h: number): boolean => {
    shifted(cut, h / 2, half);
    const length = arcTo(cut, 0, h);
    const turn = turnOf(cut, h);
    lengths[k] = length;
    bends[k] = turn;
    return (
      Math.abs(length - arcTo(cut, 0, h / 2) - arcTo(half, 0, h / 2)) <= LENGTH_ERROR * perimeter &&
      turn <= LARGEST_TURN_RAD &&
      turnOf(half, h / 2) <= LARGEST_TURN_RAD
    );
  };
  let station = 0;
  for (let i = 0; i < n; i++) {
    const h = knots[i + 1]! - knots[i]!;
    cubic(0, h, x[i]!, x[i + 1]!, slopeX[i]!, slopeX[i + 1]!);
    cubic(4, h, y[i]!, y[i + 1]!, slopeY[i]!, slopeY[i + 1]!);
    let parts = 1;
    for (let halvings = 0; halvings <= MOST_HALVINGS; halvings++) {
      parts = 2 ** halvings;
      let enough = true;
      // The last are taken as they are.
      for (let k = 0; k < parts && (enough || halvings === MOST_HALVINGS); k++) {
        shifted(whole, (k * h) / parts, cut);
        enough = measured(k, h / parts);
      }
      if (enough) break;
    }
    for (let k = 0; k < parts; k++) {
      shifted(whole, (k * h) / parts, cut);
      for (let j = 0; j < 8; j++) coefficients.push(cut[j]!);
      station += lengths[k]!;
      spans.push(h / parts);
      turns.push(bends[k]!);
      stations.push(station);
    }
  }
  return {
    count: spans.length,
    points: n,
    lengthM: station,
    c: Float64Array.from(coefficients),
    span: Float64Array.from(spans),
    station: Float64Array.from(stations),
    turn: Float64Array.from(turns),
  };
}
