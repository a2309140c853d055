import { median } from '../numbers/quantile.ts';
import { LEVEL } from './detectable.ts';
import { normalBelow, normalQuantile } from './distributions.ts';
import type { Interval } from './interval.ts';

export interface Trend {
  readonly n: number;
  /** Median slope between all pairs, unit of y per unit of x; NaN where all x are equal. */
  readonly slope: number;
  /** Line through the medians of x and y. */
  readonly intercept: number;
  readonly interval: Interval | null;
  /** Two-sided, of Kendall's rank correlation. NaN for fewer than two pairs. */
  readonly p: number;
  readonly verdict: 'falls' | 'rises' | 'cannot tell' | 'too few';
}

/**
 * Whether values rise or fall along x, by ranks: one spoilt lap does not move the answer. For the learning of a rider
 * over the laps of a day; between days a trend mixes with the days' own differences, see `learningCurve`.
 *
 * @param x laps in the order they were ridden, or times; any order, ties allowed
 * @param y as long as x, no NaN
 *
 * Source: Sen, J. Am. Stat. Assoc. 63 (1968) 1379 (slope, interval); Kendall, Biometrika 30 (1938) 81 (test, exact
 * without ties).
 */
export function trend(x: readonly number[], y: readonly number[], level = LEVEL): Trend {
  const n = x.length;
  const slopes: number[] = [];
  let score = 0;
  for (let i = 0; i < n; i++)
    for (let j = i + 1; j < n; j++) {
      if (x[i] === x[j]) continue;
      const slope = (y[j]! - y[i]!) / (x[j]! - x[i]!);
      slopes.push(slope);
      score += Math.sign(slope);
    }
  slopes.sort((a, b) => a - b);
  const slope = median(slopes);
  const [tiesX, tiesY] = [ties(x), ties(y)];
  const whole = n * (n - 1) * (2 * n + 5);
  const lost = (list: readonly number[]): number => list.reduce((s, t) => s + t * (t - 1) * (2 * t + 5), 0);
  const sd = Math.sqrt((whole - lost(tiesX) - lost(tiesY)) / 18);
  const p =
    tiesX.length + tiesY.length === 0 && n <= 60 ? exact(n, score) : 2 * normalBelow(-(Math.abs(score) - 1) / sd);
  const reach = normalQuantile((1 + level) / 2) * sd;
  const at = (place: number): number => slopes[Math.min(Math.max(place, 0), slopes.length - 1)]!;
  const interval =
    n < 3 || slopes.length === 0
      ? null
      : {
          low: at(Math.round((slopes.length - reach) / 2) - 1),
          high: at(Math.round((slopes.length + reach) / 2)),
          level,
        };
  const found = p <= 1 - level;
  // Five laps in perfect order have p = 2/120; with four nothing could be told.
  const verdict = n < 5 ? 'too few' : !found ? 'cannot tell' : score < 0 ? 'falls' : 'rises';
  return { n, slope, intercept: median(y) - slope * median(x), interval, p: Math.min(p, 1), verdict };
}

/** Sizes of groups of equal values, groups of one left out. */
function ties(values: readonly number[]): number[] {
  const counts = new Map<number, number>();
  for (const value of values) counts.set(value, (counts.get(value) ?? 0) + 1);
  return [...counts.values()].filter((count) => count > 1);
}

/** Two-sided p of Kendall's score among all orders of n different values. */
function exact(n: number, score: number): number {
  if (n < 2) return Number.NaN;
  const pairs = (n * (n - 1)) / 2;
  // Share of orders by number of pairs out of order: each further value adds 0 to i pairs, all equally likely.
  let share = Float64Array.of(1);
  for (let i = 1; i < n; i++) {
    const next = new Float64Array(share.length + i);
    for (let k = 0; k < share.length; k++) for (let d = 0; d <= i; d++) next[k + d]! += share[k]! / (i + 1);
    share = next;
  }
  const wrong = Math.min((pairs - score) / 2, (pairs + score) / 2);
  let tail = 0;
  for (let k = 0; k <= wrong; k++) tail += share[k]!;
  return Math.min(2 * tail, 1);
}
