/** Value and slope of a local straight-line fit at each asked time. */
export interface LocalLine {
  /** NaN where fewer than two points lie in the window. */
  readonly value: Float64Array;
  readonly slope: Float64Array;
}

/**
 * Local linear regression with tricube weights: at each asked time a straight line through the points within
 * `halfWidthS`. A trend is kept as it is, noise of n points falls by about the root of n, and nothing outside the
 * window matters.
 *
 * @param timeS (m,) rising, of the points
 * @param value (m,) NaN entries are left out
 * @param at (n,) rising
 * Source: W. S. Cleveland, J. Am. Stat. Assoc. 74 (1979) 829, without its robustness pass.
 */
export function localLine(timeS: Float64Array, value: Float64Array, at: Float64Array, halfWidthS: number): LocalLine {
  const n = at.length;
  const out = { value: new Float64Array(n), slope: new Float64Array(n) };
  let first = 0;
  for (let i = 0; i < n; i++) {
    const t = at[i]!;
    while (first < timeS.length && timeS[first]! <= t - halfWidthS) first++;
    let w0 = 0;
    let w1 = 0;
    let w2 = 0;
    let y0 = 0;
    let y1 = 0;
    let points = 0;
    for (let j = first; j < timeS.length && timeS[j]! < t + halfWidthS; j++) {
      const y = value[j]!;
      if (Number.isNaN(y)) continue;
      const x = timeS[j]! - t;
      const u = Math.abs(x) / halfWidthS;
      const q = 1 - u * u * u;
      const w = q * q * q;
      w0 += w;
      w1 += w * x;
      w2 += w * x * x;
      y0 += w * y;
      y1 += w * x * y;
      points++;
    }
    const det = w0 * w2 - w1 * w1;
    if (points >= 2 && det > 1e-12 * w0 * w2) {
      out.value[i] = (w2 * y0 - w1 * y1) / det;
      out.slope[i] = (w0 * y1 - w1 * y0) / det;
    } else {
      out.value[i] = Number.NaN;
      out.slope[i] = Number.NaN;
    }
  }
  return out;
}

/**
 * The local line where there are points, and straight from one side to the other of a stretch longer than the window in
 * which there are none: a line through the points of one side alone soon goes astray. In place.
 *
 * @param timeS,value (m,) the points, as given to {@link localLine}
 * @param at (n,) as given to {@link localLine}
 */
export function spanHoles(
  local: LocalLine,
  timeS: Float64Array,
  value: Float64Array,
  at: Float64Array,
  halfWidthS: number,
): LocalLine {
  let before = -1;
  let i = 0;
  for (let j = 0; j < timeS.length; j++) {
    if (Number.isNaN(value[j]!)) continue;
    if (before !== -1 && timeS[j]! - timeS[before]! > halfWidthS) {
      while (i < at.length && at[i]! <= timeS[before]!) i++;
      const first = i;
      while (i < at.length && at[i]! < timeS[j]!) i++;
      if (first > 0 && i < at.length) {
        const rise = (local.value[i]! - local.value[first - 1]!) / (at[i]! - at[first - 1]!);
        for (let k = first; k < i; k++) {
          local.value[k] = local.value[first - 1]! + rise * (at[k]! - at[first - 1]!);
          local.slope[k] = rise;
        }
      }
    }
    before = j;
  }
  return local;
}

/** Fills NaN stretches on a straight line between their neighbours, in place; ends are held. */
export function bridge(timeS: Float64Array, value: Float64Array): void {
  let last = -1;
  for (let i = 0; i < value.length; i++) {
    if (Number.isNaN(value[i]!)) continue;
    for (let k = last + 1; k < i; k++) {
      if (last === -1) value[k] = value[i]!;
      else {
        const share = (timeS[k]! - timeS[last]!) / (timeS[i]! - timeS[last]!);
        value[k] = value[last]! + share * (value[i]! - value[last]!);
      }
    }
    last = i;
  }
  if (last >= 0) for (let k = last + 1; k < value.length; k++) value[k] = value[last]!;
}
