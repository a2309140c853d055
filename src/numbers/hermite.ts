const sameSign = (a: number, b: number): boolean => (a > 0 && b > 0) || (a < 0 && b < 0);

/** End slope of the three-point formula, held to the sign of the first secant and to three times its size. */
function endSlope(h0: number, h1: number, d0: number, d1: number): number {
  const slope = ((2 * h0 + h1) * d0 - h0 * d1) / (h0 + h1);
  if (!sameSign(slope, d0)) return Number.isNaN(slope) ? Number.NaN : 0;
  return !sameSign(d0, d1) && Math.abs(slope) > 3 * Math.abs(d0) ? 3 * d0 : slope;
}

/**
 * Slopes of the shape-preserving cubic Hermite interpolant: weighted harmonic means of the secants inside, three-point
 * formula at the ends. The interpolant rises where the data rise and never leaves the range of two neighbours.
 *
 * @param x strictly rising, at least two
 * @param y as long as `x`; a NaN makes the slopes beside it NaN
 * @returns one slope for each point
 *
 * Method: Fritsch & Butland, SIAM J. Sci. Stat. Comput. 5 (1984) 300.
 */
export function monotoneSlopes(x: Float64Array, y: Float64Array): Float64Array {
  const n = x.length;
  const slopes = new Float64Array(n);
  if (n < 2) return slopes.fill(Number.NaN);
  const step = (i: number): number => x[i + 1]! - x[i]!;
  const secant = (i: number): number => (y[i + 1]! - y[i]!) / step(i);
  if (n === 2) return slopes.fill(secant(0));
  for (let i = 1; i < n - 1; i++) {
    const before = secant(i - 1);
    const after = secant(i);
    if (sameSign(before, after)) {
      const h0 = step(i - 1);
      const h1 = step(i);
      const w0 = 2 * h1 + h0;
      const w1 = h1 + 2 * h0;
      slopes[i] = (w0 + w1) / (w0 / before + w1 / after);
    } else if (Number.isNaN(before + after)) {
      slopes[i] = Number.NaN;
    }
  }
  slopes[0] = endSlope(step(0), step(1), secant(0), secant(1));
  slopes[n - 1] = endSlope(step(n - 2), step(n - 3), secant(n - 2), secant(n - 3));
  return slopes;
}

/** Size of a pair of slopes that is always allowed, with room for rounding so that scaling ends. */
const LARGEST = 3 * (1 + 1e-12);

/**
 * Shrinks given slopes where needed, so that the cubic Hermite interpolant is monotone between each two neighbours.
 * Slopes against the direction of the data become zero; the others are scaled into the region of monotone cubics.
 *
 * @param x strictly rising
 * @param y as long as `x`
 * @param slopes as long as `x`; left as it is
 * @returns new slopes
 *
 * Method: Fritsch & Carlson, SIAM J. Numer. Anal. 17 (1980) 238.
 */
export function limitSlopes(x: Float64Array, y: Float64Array, slopes: Float64Array): Float64Array {
  const limited = slopes.slice();
  // Signs first: a slope that one interval sets to zero must be zero when its other interval is scaled.
  for (let i = 0; i + 1 < x.length; i++) {
    const rise = y[i + 1]! - y[i]!;
    if (rise === 0 || limited[i]! * rise < 0) limited[i] = 0;
    if (rise === 0 || limited[i + 1]! * rise < 0) limited[i + 1] = 0;
  }
  // Scaling a slope can move its other interval out of the region: go over the row until nothing is left to scale.
  for (let round = 0, scaled = true; scaled && round < x.length; round++) {
    scaled = false;
    for (let i = 0; i + 1 < x.length; i++) {
      const secant = (y[i + 1]! - y[i]!) / (x[i + 1]! - x[i]!);
      const a = limited[i]! / secant;
      const b = limited[i + 1]! / secant;
      // A rise too small to divide by is none.
      if (Math.abs(a) === Number.POSITIVE_INFINITY || Math.abs(b) === Number.POSITIVE_INFINITY) {
        limited[i] = limited[i + 1] = 0;
        continue;
      }
      const p = 2 * a + b - 3;
      const q = a + 2 * b - 3;
      if (!(p > 0 && q > 0 && a * (p + q) < p * p)) continue;
      const size = Math.sqrt(a * a + b * b);
      if (size > LARGEST) {
        limited[i] = (3 / size) * a * secant;
        limited[i + 1] = (3 / size) * b * secant;
        scaled = true;
      }
    }
  }
  return limited;
}

function inInterval(x: Float64Array, y: Float64Array, slopes: Float64Array, i: number, xq: number): number {
  const h = x[i + 1]! - x[i]!;
  const t = (xq - x[i]!) / h;
  // A query on a knot is the datum itself, even where the interval beside it is NaN.
  if (t === 0) return y[i]!;
  if (t === 1) return y[i + 1]!;
  const rise = y[i + 1]! - y[i]!;
  const a = h * slopes[i]! - rise;
  const b = rise - h * slopes[i + 1]!;
  return y[i]! + t * (rise + (1 - t) * (a * (1 - t) + b * t));
}

/**
 * Value of the cubic Hermite interpolant at one place.
 *
 * @param x strictly rising, at least two
 * @returns NaN outside `[x[0], x[n-1]]` and where a neighbour is NaN
 */
export function hermiteAt(x: Float64Array, y: Float64Array, slopes: Float64Array, xq: number): number {
  const last = x.length - 1;
  if (last < 1 || !(xq >= x[0]! && xq <= x[last]!)) return Number.NaN;
  return inInterval(x, y, slopes, intervalOf(x, xq), xq);
}

/** The interval that holds a place within the knots; the last one that begins there or before. */
function intervalOf(x: Float64Array, xq: number): number {
  let low = 0;
  let high = x.length - 1;
  while (high - low > 1) {
    const middle = (low + high) >> 1;
    if (x[middle]! <= xq) low = middle;
    else high = middle;
  }
  return low;
}

/**
 * Values of the cubic Hermite interpolant at rising places, in one pass.
 *
 * @param xq rising (equal neighbours allowed)
 * @returns as long as `xq`; NaN outside `[x[0], x[n-1]]` and where a neighbour is NaN
 */
export function hermiteMany(x: Float64Array, y: Float64Array, slopes: Float64Array, xq: Float64Array): Float64Array {
  const last = x.length - 1;
  if (x === xq && last >= 1) return y.slice();
  const out = new Float64Array(xq.length).fill(Number.NaN);
  if (last < 1 || xq.length === 0) return out;
  let i = intervalOf(x, xq[0]!);
  for (let k = 0; k < xq.length; k++) {
    const at = xq[k]!;
    if (!(at >= x[0]! && at <= x[last]!)) continue;
    while (i < last - 1 && x[i + 1]! <= at) i++;
    out[k] = inInterval(x, y, slopes, i, at);
  }
  return out;
}
