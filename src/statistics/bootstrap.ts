import { quantile } from '../numbers/quantile.ts';
import { normalBelow, normalQuantile } from './distributions.ts';
import type { Interval } from './interval.ts';
import { randomFrom } from './random.ts';

export interface Bootstrap {
  readonly estimate: number;
  readonly percentile: Interval;
  /** Corrected for bias and skewness. */
  readonly corrected: Interval;
  /** By leaving out one value at a time; 0 where that changes nothing. */
  readonly acceleration: number;
}

/**
 * Bootstrap intervals of any statistic of a list of values or rows, for quantities that have no exact interval, such as
 * the share of a loss. Too narrow for fewer than about eight values.
 *
 * @param rows at least two; resampled as they are
 * @param resamples a thousand at least
 *
 * Source: Efron & Tibshirani, An Introduction to the Bootstrap (1993), ch. 13 and 14.
 */
export function bootstrap<Row>(
  rows: readonly Row[],
  statistic: (rows: readonly Row[]) => number,
  level: number,
  seed: number,
  resamples = 4999,
): Bootstrap {
  const n = rows.length;
  const random = randomFrom(seed);
  const estimate = statistic(rows);
  const draws = Float64Array.from({ length: resamples }, () =>
    statistic(Array.from({ length: n }, () => rows[random.below(n)]!)),
  );
  const without = rows.map((_, i) => statistic(rows.toSpliced(i, 1)));
  const centre = without.reduce((s, v) => s + v, 0) / n;
  const cubes = without.reduce((s, v) => s + (centre - v) ** 3, 0);
  const squares = without.reduce((s, v) => s + (centre - v) ** 2, 0);
  const acceleration = squares > 0 ? cubes / (6 * squares ** 1.5) : 0;
  // Draws equal to the estimate count half, or a statistic with few values, such as a median, looks biased.
  const below = draws.reduce((s, v) => s + (v < estimate ? 1 : v === estimate ? 0.5 : 0), 0) / resamples;
  const bias = normalQuantile(Math.min(Math.max(below, 1 / resamples), 1 - 1 / resamples));
  const share = (p: number): number => {
    const z = bias + normalQuantile(p);
    return normalBelow(bias + z / (1 - acceleration * z));
  };
  const [lower, upper] = [(1 - level) / 2, (1 + level) / 2];
  return {
    estimate,
    percentile: { low: quantile(draws, lower), high: quantile(draws, upper), level },
    corrected: { low: quantile(draws, share(lower)), high: quantile(draws, share(upper)), level },
    acceleration,
  };
}
