import { studentQuantile } from './distributions.ts';
import type { Interval } from './interval.ts';
import { randomFrom } from './random.ts';
import { shapes } from './shapes.ts';

export interface Step {
  /** Index of the first session after the step. */
  readonly at: number;
  /** After - before, unit of the values; negative where a loss fell. */
  readonly size: number;
  /** 95 %; it does not count that the place was chosen as well. */
  readonly interval: Interval;
  /** Chance of a step at least as clear somewhere among the candidates where there is none. */
  readonly p: number;
}

const FEWEST = 6;
const SHORTEST = 2;
const MOST_STEPS = 4;
/** Most repeats for one limit, and how often a step at least as clear ends them. */
const REPEATS = 9999;
const ENOUGH = 10;

export interface StepOptions {
  /** 0.95, as by default, for 5 % false alarms. */
  readonly level?: number;
  /** Sessions before which a step may lie (a new version, say); by default all that leave two sessions on either side. */
  readonly candidates?: readonly number[];
  /** Steps that are known already and not looked for again. */
  readonly known?: readonly number[];
}

/**
 * Steps in a series of sessions (median gap, or the loss of one corner) beside smooth learning: where a level, or a
 * falling curve, does not explain the series without a jump. The limit is found for this series by repeating the search
 * on series without a jump, drawn from the curve that fits best, so that looking at many places costs no false alarms.
 *
 * @param weeks times of the sessions, rising
 * @param values one for each session, no NaN
 * @param seed of the repeats
 * @returns in order of time; empty for fewer than six sessions, and where nothing is found
 *
 * Method: likelihood ratio over all candidate places with a parametric bootstrap (Andrews, Econometrica 61 (1993) 821, for
 * the statistic; Davison & Hinkley, Bootstrap Methods (1997), 4.2, for the limit; Besag & Clifford, Biometrika 78 (1991)
 * 301, for when to stop repeating); one step after another.
 */
export function steps(
  weeks: readonly number[],
  values: readonly number[],
  seed: number,
  options: StepOptions = {},
): Step[] {
  const n = weeks.length;
  const measured = Float64Array.from(values);
  const level = options.level ?? 0.95;
  const random = randomFrom(seed);
  const known = options.known ?? [];
  let open = (options.candidates ?? weeks.map((_, i) => i)).filter(
    (at) => at >= SHORTEST && at <= n - SHORTEST && known.every((other) => Math.abs(at - other) >= SHORTEST),
  );
  const found: Step[] = [];
  while (open.length > 0 && n >= FEWEST + known.length + found.length && found.length < MOST_STEPS) {
    const scan = new Scan(weeks, [...known, ...found.map(({ at }) => at)], open);
    const best = scan.clearest(measured);
    if (!best) break;
    const { fitted, sizeError } = scan.fit(measured, best);
    const noise = Math.sqrt(best.nullSquares / scan.nullDf);
    let above = 0;
    let repeats = 0;
    const drawn = new Float64Array(n);
    while (repeats < REPEATS && above < ENOUGH) {
      repeats++;
      for (let i = 0; i < n; i++) drawn[i] = fitted[i]! + noise * random.normal();
      if (scan.clearest(drawn)!.ratio >= best.ratio) above++;
    }
    const p = above === ENOUGH ? ENOUGH / repeats : (above + 1) / (REPEATS + 1);
    if (p > 1 - level) break;
    const reach = studentQuantile(0.975, scan.nullDf - 1) * sizeError;
    found.push({
      at: best.at,
      size: best.size,
      interval: { low: best.size - reach, high: best.size + reach, level: 0.95 },
      p,
    });
    open = open.filter((at) => Math.abs(at - best.at) >= SHORTEST);
  }
  return found.sort((a, b) => a.at - b.at);
}

interface Clearest {
  /** Squares left without the step over those left with it. */
  readonly ratio: number;
  readonly at: number;
  readonly size: number;
  /** Of the step without what the shape explains of it. */
  readonly length: number;
  readonly least: number;
  readonly nullSquares: number;
  readonly nullShape: number;
}

/** The search over shapes and places with everything that does not depend on the values worked out beforehand. */
class Scan {
  readonly nullDf: number;
  /** Unit vectors of level and known steps, which every shape is beside. */
  private readonly fixed: readonly Float64Array[];
  /** What each shape adds to those. */
  private readonly bases: readonly (readonly Float64Array[])[];
  /** For each shape, each place: how long the step is without what the shape explains of it. */
  private readonly jumps: readonly (readonly { at: number; length: number }[])[];
  /** Scratch: what level and known steps leave of the values, what a shape leaves of that, its sums from each place on. */
  private readonly moved: Float64Array;
  private readonly rest: Float64Array;
  private readonly after: Float64Array;

  constructor(weeks: readonly number[], known: readonly number[], open: readonly number[]) {
    const n = weeks.length;
    const span = weeks[n - 1]! - weeks[0]!;
    const step = (at: number): Float64Array => Float64Array.from(weeks, (_, i) => (i >= at ? 1 : 0));
    const fixed = [new Float64Array(n).fill(1), ...known.map(step)];
    this.fixed = orthonormal(fixed);
    this.bases = shapes(span).map((shape) =>
      orthonormal([
        ...fixed,
        ...[shape.at, shape.change].flatMap((column) =>
          column === null ? [] : [Float64Array.from(weeks, (week) => column(week - weeks[0]!))],
        ),
      ]).slice(this.fixed.length),
    );
    this.jumps = this.bases.map((basis) =>
      open.flatMap((at) => {
        const length = norm(without(step(at), [...this.fixed, ...basis]));
        return length > 1e-6 ? [{ at, length }] : [];
      }),
    );
    this.moved = new Float64Array(n);
    this.rest = new Float64Array(n);
    this.after = new Float64Array(n);
    // Level and known steps; size and shape of the curve.
    this.nullDf = n - fixed.length - 2;
  }

  /** The clearest step: how much better it explains the values than the best shape without one does. */
  clearest(values: Float64Array): Clearest | null {
    const n = values.length;
    let nullSquares = Number.POSITIVE_INFINITY;
    let nullShape = -1;
    let least = Number.POSITIVE_INFINITY;
    let place: { at: number; length: number } | null = null;
    let size = 0;
    const { moved, rest: left, after } = this;
    takeOut(values, this.fixed, moved);
    for (let k = 0; k < this.bases.length; k++) {
      takeOut(moved, this.bases[k]!, left);
      const squares = dot(left, left);
      if (squares < nullSquares) [nullSquares, nullShape] = [squares, k];
      // What is left is square to the shape, so along a step without that shape it is as long as along the bare step.
      for (let i = n - 1, sum = 0; i >= 0; i--) after[i] = sum += left[i]!;
      for (const jump of this.jumps[k]!) {
        const along = after[jump.at]! / jump.length;
        if (squares - along * along >= least) continue;
        least = squares - along * along;
        place = jump;
        size = along / jump.length;
      }
    }
    if (!place || nullShape < 0) return null;
    const ratio = least > 0 ? nullSquares / least : Number.POSITIVE_INFINITY;
    return { ratio, ...place, size, least, nullSquares, nullShape };
  }

  /** The curve without a step that fits best, and the doubt of the size of the step. */
  fit(values: Float64Array, { least, length, nullShape }: Clearest): { fitted: Float64Array; sizeError: number } {
    const rest = without(values, [...this.fixed, ...this.bases[nullShape]!]);
    return {
      fitted: values.map((value, i) => value - rest[i]!),
      sizeError: Math.sqrt(least / (this.nullDf - 1)) / length,
    };
  }
}

function dot(a: Float64Array, b: Float64Array): number {
  let sum = 0;
  for (let i = 0; i < a.length; i++) sum += a[i]! * b[i]!;
  return sum;
}

const norm = (a: Float64Array): number => Math.sqrt(dot(a, a));

/** What a basis of unit vectors leaves of the values. */
function without(values: Float64Array, basis: readonly Float64Array[]): Float64Array {
  const rest = new Float64Array(values.length);
  takeOut(values, basis, rest);
  return rest;
}

function takeOut(values: Float64Array, basis: readonly Float64Array[], into: Float64Array): void {
  into.set(values);
  for (const unit of basis) {
    const along = dot(unit, into);
    for (let i = 0; i < into.length; i++) into[i]! -= along * unit[i]!;
  }
}

/** Gram and Schmidt; a column that follows from those before it is left out. */
function orthonormal(columns: readonly Float64Array[]): Float64Array[] {
  const basis: Float64Array[] = [];
  for (const column of columns) {
    const rest = without(column, basis);
    const length = norm(rest);
    if (length > 1e-9 * norm(column)) basis.push(rest.map((v) => v / length));
  }
  return basis;
}
