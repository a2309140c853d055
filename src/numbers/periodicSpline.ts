/**
 * Solves a cyclic tridiagonal system: row i is `below[i] z[i-1] + diagonal[i] z[i] + above[i] z[i+1] = right[i]`, with
 * indices taken around the ring.
 *
 * @param below,diagonal,above,right of one length n >= 3; the matrix is diagonally dominant
 * @returns z
 *
 * Method: two plain tridiagonal sweeps joined by the Sherman–Morrison formula.
 */
function solveCyclic(
  below: Float64Array,
  diagonal: Float64Array,
  above: Float64Array,
  right: Float64Array,
): Float64Array {
  const n = diagonal.length;
  const gamma = -diagonal[0]!;
  const corner = below[0]!;
  const main = diagonal.slice();
  main[0] = diagonal[0]! - gamma;
  main[n - 1] = diagonal[n - 1]! - (corner * above[n - 1]!) / gamma;
  const z = right.slice();
  const w = new Float64Array(n);
  w[0] = gamma;
  w[n - 1] = above[n - 1]!;
  const factor = new Float64Array(n);
  let pivot = main[0]!;
  z[0] = z[0]! / pivot;
  w[0] = w[0]! / pivot;
  for (let i = 1; i < n; i++) {
    factor[i] = above[i - 1]! / pivot;
    pivot = main[i]! - below[i]! * factor[i]!;
    z[i] = (z[i]! - below[i]! * z[i - 1]!) / pivot;
    w[i] = (w[i]! - below[i]! * w[i - 1]!) / pivot;
  }
  for (let i = n - 2; i >= 0; i--) {
    z[i] = z[i]! - factor[i + 1]! * z[i + 1]!;
    w[i] = w[i]! - factor[i + 1]! * w[i + 1]!;
  }
  const scale = (z[0]! + (corner * z[n - 1]!) / gamma) / (1 + w[0]! + (corner * w[n - 1]!) / gamma);
  for (let i = 0; i < n; i++) z[i] = z[i]! - scale * w[i]!;
  return z;
}

/**
 * First derivatives at the knots of the periodic interpolating cubic spline (twice continuously differentiable, also
 * over the join).
 *
 * @param x strictly rising, n + 1 knots, n >= 3; `x[n] - x[0]` is the period
 * @param y n + 1 values, of which the last counts as equal to the first
 * @returns n + 1 slopes, the last equal to the first
 */
export function periodicSlopes(x: Float64Array, y: Float64Array): Float64Array {
  const n = x.length - 1;
  const below = new Float64Array(n);
  const diagonal = new Float64Array(n);
  const above = new Float64Array(n);
  const right = new Float64Array(n);
  for (let i = 0; i < n; i++) {
    const p = i === 0 ? n - 1 : i - 1;
    const before = 1 / (x[p + 1]! - x[p]!);
    const after = 1 / (x[i + 1]! - x[i]!);
    const next = i === n - 1 ? y[0]! : y[i + 1]!;
    below[i] = before;
    above[i] = after;
    diagonal[i] = 2 * (before + after);
    right[i] = 3 * ((y[i]! - y[p]!) * before * before + (next - y[i]!) * after * after);
  }
  const slopes = new Float64Array(n + 1);
  slopes.set(solveCyclic(below, diagonal, above, right));
  slopes[n] = slopes[0]!;
  return slopes;
}

export interface PeriodicSpline {
  /** Value at any real place. */
  value(at: number): number;
  /** First derivative. */
  first(at: number): number;
  /** Second derivative. */
  second(at: number): number;
}

/**
 * Periodic interpolating cubic spline.
 *
 * @param x strictly rising, n + 1 knots, n >= 3; `x[n] - x[0]` is the period
 * @param y n + 1 values, of which the last counts as equal to the first
 */
export function periodicSpline(x: Float64Array, y: Float64Array): PeriodicSpline {
  const n = x.length - 1;
  const slopes = periodicSlopes(x, y);
  const period = x[n]! - x[0]!;
  /** Interval, distance into it, and the two upper coefficients there. */
  const find = (at: number): { i: number; t: number; c: number; d: number } => {
    let place = at - period * Math.floor((at - x[0]!) / period);
    if (place > x[n]!) place = x[n]!;
    let i = 0;
    let high = n;
    while (high - i > 1) {
      const middle = (i + high) >> 1;
      if (x[middle]! <= place) i = middle;
      else high = middle;
    }
    const h = x[i + 1]! - x[i]!;
    const secant = ((i === n - 1 ? y[0]! : y[i + 1]!) - y[i]!) / h;
    const c = (3 * secant - 2 * slopes[i]! - slopes[i + 1]!) / h;
    const d = (slopes[i]! + slopes[i + 1]! - 2 * secant) / (h * h);
    return { i, t: place - x[i]!, c, d };
  };
  return {
    value(at) {
      const { i, t, c, d } = find(at);
      return y[i]! + t * (slopes[i]! + t * (c + t * d));
    },
    first(at) {
      const { i, t, c, d } = find(at);
      return slopes[i]! + t * (2 * c + 3 * t * d);
    },
    second(at) {
      const { t, c, d } = find(at);
      return 2 * c + 6 * t * d;
    },
  };
}
