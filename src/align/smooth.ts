/** Value and slope of a local straight-line fit at each asked time. */
export interface LocalLine {
  /** NaN where fewer than two points lie in the window. */
  readonly value: Float64Array;
  readonly slope: Float64Array;
}

/** Steps and places of points that agree to this are the same, s. */
const SAME_S = 1e-10;
/** With fewer points in the window it does not pay to keep their weights. */
const LEAST_KEPT = 8;
/** So many times within half a window the smooth curve is worked out; a cubic is as good between them. */
const NODES = 8;

/**
 * Local linear regression with tricube weights: at each asked time a straight line through the points within
 * `halfWidthS`. A trend is kept as it is, noise of n points falls by about the root of n, and nothing outside the
 * window matters.
 *
 * Most logs are sampled evenly, and then one window is like the one before it: its weights are kept until one differs.
 * What they give is smooth over the window: where times are asked closely, every so-manieth is worked out and a cubic
 * through four of those gives the others, to 1e-3 of the noise.
 *
 * @param timeS (m,) rising, of the points
 * @param value (m,) NaN entries are left out
 * @param at (n,) rising
 * Source: W. S. Cleveland, J. Am. Stat. Assoc. 74 (1979) 829, without its robustness pass.
 */
export function localLine(timeS: Float64Array, value: Float64Array, at: Float64Array, halfWidthS: number): LocalLine {
  const m = timeS.length;
  const n = at.length;
  const out = { value: new Float64Array(n), slope: new Float64Array(n) };
  const even = new EvenStretch();
  const weights = new Weights(halfWidthS);
  // Points on the very edge weigh nothing: leave them out, or rounding takes them in and out by turns.
  const reachS = halfWidthS - SAME_S;
  const firstOf = firstRoom(n);
  const run: Run = { from: 0, end: 0, stride: 1, stepS: 0 };
  let first = 0;
  let end = 0;
  let next = 0;
  for (let i = 0; i < n; i++) {
    const t = at[i]!;
    while (first < m && timeS[first]! <= t - reachS) first++;
    while (end < m && timeS[end]! < t + reachS) even.take(timeS, value, end++);
    firstOf[i] = first;
    const isEven = end - first >= LEAST_KEPT && even.from <= first;
    const goesOn =
      isEven && run.end === i && Math.abs(t - at[i - 1]! - run.stepS) < SAME_S && weights.fit(timeS, first, end, t);
    if (goesOn) {
      if (i === next) {
        weights.line(value, first, out, i);
        next += run.stride;
      }
      run.end = i + 1;
      continue;
    }
    fillRun(run, weights, value, firstOf, out);
    run.from = run.end = i;
    if (isEven) {
      if (!weights.fit(timeS, first, end, t)) weights.set(timeS, first, end, t);
      weights.line(value, first, out, i);
      run.end = i + 1;
      run.stepS = i + 1 < n ? at[i + 1]! - t : 0;
      // As many as there are where times stand still, not endless: whole numbers stay whole for the engine.
      run.stride = Math.min(n, Math.max(1, Math.floor(halfWidthS / (NODES * run.stepS))));
      next = i + run.stride;
    } else lineAt(timeS, value, first, end, t, halfWidthS, out, i);
  }
  fillRun(run, weights, value, firstOf, out);
  return out;
}

/** Asked times one step apart, entries from up to end, whose windows are alike; every stride-th is worked out. */
interface Run {
  from: number;
  end: number;
  stride: number;
  stepS: number;
}

/** The entries of a run that were passed over: by a cubic where two nodes lie on both sides, as they are elsewhere. */
function fillRun(
  { from, end, stride }: Run,
  weights: Weights,
  value: Float64Array,
  firstOf: Int32Array,
  out: LocalLine,
): void {
  if (stride === 1) return;
  for (let a = from; a < end; a += stride) {
    if (a - stride >= from && a + 2 * stride < end) {
      cubicBetween(out.value, a, stride);
      cubicBetween(out.slope, a, stride);
    } else for (let i = a + 1; i < Math.min(end, a + stride); i++) weights.line(value, firstOf[i]!, out, i);
  }
}

/** Entries between a and a + k by Lagrange's cubic through the entries a − k, a, a + k, a + 2k. In place. */
function cubicBetween(values: Float64Array, a: number, k: number): void {
  const p = values[a - k]!;
  const q = values[a]!;
  const r = values[a + k]!;
  const s = values[a + 2 * k]!;
  const third = (s - p) / 6 + (q - r) / 2;
  const second = (p + r) / 2 - q;
  const first = r - q - second - third;
  for (let i = 1; i < k; i++) {
    const u = i / k;
    values[a + i] = q + u * (first + u * (second + u * third));
  }
}

/** The fit at one time, written to entry i. */
function lineAt(
  timeS: Float64Array,
  value: Float64Array,
  first: number,
  end: number,
  t: number,
  halfWidthS: number,
  out: LocalLine,
  i: number,
): void {
  let w0 = 0;
  let w1 = 0;
  let w2 = 0;
  let y0 = 0;
  let y1 = 0;
  let points = 0;
  for (let j = first; j < end; j++) {
    const y = value[j]!;
    if (Number.isNaN(y)) continue;
    const x = timeS[j]! - t;
    const w = tricube(x, halfWidthS);
    w0 += w;
    w1 += w * x;
    w2 += w * x * x;
    y0 += w * y;
    y1 += w * x * y;
    points++;
  }
  const det = w0 * w2 - w1 * w1;
  const known = points >= 2 && det > 1e-12 * w0 * w2;
  out.value[i] = known ? (w2 * y0 - w1 * y1) / det : Number.NaN;
  out.slope[i] = known ? (w0 * y1 - w1 * y0) / det : Number.NaN;
}

function tricube(x: number, halfWidthS: number): number {
  const u = Math.abs(x) / halfWidthS;
  const q = 1 - u * u * u;
  return q * q * q;
}

/** The stretch of equal steps, without a NaN, that the latest of the points belongs to. */
class EvenStretch {
  /** Its first point. */
  from = 0;

  /** The next point. */
  take(timeS: Float64Array, value: Float64Array, j: number): void {
    const { from } = this;
    if (Number.isNaN(value[j]!)) this.from = j + 1;
    else if (j > from + 1) {
      const step = timeS[from + 1]! - timeS[from]!;
      if (Math.abs(timeS[j]! - timeS[j - 1]! - step) > SAME_S) this.from = j - 1;
    }
  }
}

let firsts = new Int32Array(0);

/** Room for the first point of each window, one for all calls: fresh memory costs more than what is written to it. */
function firstRoom(count: number): Int32Array {
  if (firsts.length < count) firsts = new Int32Array(count);
  return firsts;
}

/** What the points of an even window weigh in the value and in the slope. */
class Weights {
  readonly #halfWidthS: number;
  #count = 0;
  #aheadS = 0;
  #stepS = 0;
  #ofValue = new Float64Array(0);
  #ofSlope = new Float64Array(0);

  constructor(halfWidthS: number) {
    this.#halfWidthS = halfWidthS;
  }

  /** Whether points [first, end) lie about `t` as those did for which the weights were set. */
  fit(timeS: Float64Array, first: number, end: number, t: number): boolean {
    return (
      end - first === this.#count &&
      Math.abs(timeS[first]! - t - this.#aheadS) < SAME_S &&
      Math.abs(timeS[first + 1]! - timeS[first]! - this.#stepS) < SAME_S
    );
  }

  set(timeS: Float64Array, first: number, end: number, t: number): void {
    const count = end - first;
    if (count > this.#ofValue.length) {
      this.#ofValue = new Float64Array(2 * count);
      this.#ofSlope = new Float64Array(2 * count);
    }
    this.#count = count;
    this.#aheadS = timeS[first]! - t;
    this.#stepS = timeS[first + 1]! - timeS[first]!;
    let w0 = 0;
    let w1 = 0;
    let w2 = 0;
    for (let j = first; j < end; j++) {
      const x = timeS[j]! - t;
      const w = tricube(x, this.#halfWidthS);
      w0 += w;
      w1 += w * x;
      w2 += w * x * x;
    }
    const det = w0 * w2 - w1 * w1;
    for (let k = 0; k < count; k++) {
      const x = timeS[first + k]! - t;
      const w = tricube(x, this.#halfWidthS) / det;
      this.#ofValue[k] = w * (w2 - w1 * x);
      this.#ofSlope[k] = w * (w0 * x - w1);
    }
  }

  /** The line through the values from `first` on, written to entry i. */
  line(values: Float64Array, first: number, out: LocalLine, i: number): void {
    const ofValue = this.#ofValue;
    const ofSlope = this.#ofSlope;
    const count = this.#count;
    let value = 0;
    let slope = 0;
    // Two sums each, so that one addition need not wait for the one before.
    let value2 = 0;
    let slope2 = 0;
    const even = count & ~1;
    for (let k = 0; k < even; k += 2) {
      const y = values[first + k]!;
      const y2 = values[first + k + 1]!;
      value += ofValue[k]! * y;
      slope += ofSlope[k]! * y;
      value2 += ofValue[k + 1]! * y2;
      slope2 += ofSlope[k + 1]! * y2;
    }
    if (even < count) {
      value2 += ofValue[even]! * values[first + even]!;
      slope2 += ofSlope[even]! * values[first + even]!;
    }
    out.value[i] = value + value2;
    out.slope[i] = slope + slope2;
  }
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
