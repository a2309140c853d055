/**
 * Straight-line interpolation at one place. Holds the first and last value outside.
 *
 * @param x strictly rising
 * @param y as long as `x`; a NaN stays NaN between its neighbours
 * @returns NaN for an empty table or a NaN place
 */
export function linearAt(x: Float64Array, y: Float64Array, xq: number): number {
  const last = x.length - 1;
  if (last < 0 || Number.isNaN(xq)) return Number.NaN;
  if (xq <= x[0]!) return y[0]!;
  if (xq >= x[last]!) return y[last]!;
  let low = 0;
  let high = last;
  while (high - low > 1) {
    const middle = (low + high) >> 1;
    if (x[middle]! <= xq) low = middle;
    else high = middle;
  }
  return between(x, y, low, xq);
}

function between(x: Float64Array, y: Float64Array, i: number, xq: number): number {
  // The knot itself is not touched by a NaN beside it.
  if (xq === x[i]!) return y[i]!;
  return y[i]! + ((y[i + 1]! - y[i]!) * (xq - x[i]!)) / (x[i + 1]! - x[i]!);
}

/**
 * Straight-line interpolation at rising places, in one pass. Holds the first and last value outside.
 *
 * @param xq rising (equal neighbours allowed)
 * @returns as long as `xq`; NaN where a neighbour is NaN, and everywhere for an empty table
 */
export function linearMany(x: Float64Array, y: Float64Array, xq: Float64Array): Float64Array {
  if (x === xq) return y.slice();
  const out = new Float64Array(xq.length).fill(Number.NaN);
  const last = x.length - 1;
  if (last < 0) return out;
  let i = 0;
  for (let k = 0; k < xq.length; k++) {
    const at = xq[k]!;
    if (Number.isNaN(at)) continue;
    if (at <= x[0]!) out[k] = y[0]!;
    else if (at >= x[last]!) out[k] = y[last]!;
    else {
      while (x[i + 1]! <= at) i++;
      out[k] = between(x, y, i, at);
    }
  }
  return out;
}

/**
 * Angles made continuous: whole turns are added so that no step is larger than half a turn. A NaN stays where it is and
 * the angles after it are taken up from the last number before it.
 *
 * @param rad angles in radians
 */
export function unwrap(rad: Float64Array): Float64Array {
  const out = new Float64Array(rad.length);
  let turns = 0;
  let before = Number.NaN;
  for (let i = 0; i < rad.length; i++) {
    const angle = rad[i]!;
    if (!Number.isNaN(angle)) {
      // A step of exactly half a turn keeps its direction.
      if (Math.abs(angle - before) > Math.PI) turns -= Math.round((angle - before) / (2 * Math.PI));
      before = angle;
    }
    out[i] = angle + 2 * Math.PI * turns;
  }
  return out;
}

/**
 * Running integral by the trapezoid rule, zero at the first point.
 *
 * @param x rising
 * @param y as long as `x`; from a NaN on, the integral is NaN
 */
export function cumulativeTrapezoid(x: Float64Array, y: Float64Array): Float64Array {
  const out = new Float64Array(x.length);
  for (let i = 1; i < x.length; i++) {
    out[i] = out[i - 1]! + ((y[i]! + y[i - 1]!) / 2) * (x[i]! - x[i - 1]!);
  }
  return out;
}
