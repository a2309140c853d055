import { mean, standardDeviation } from '../numbers/moments.ts';
import { LEVEL } from './detectable.ts';
import { studentQuantile, studentTwoSided } from './distributions.ts';
import type { Interval } from './interval.ts';

/** An estimate with its standard error, tested against zero. */
export interface Estimate {
  readonly value: number;
  readonly standardError: number;
  readonly df: number;
  readonly t: number;
  /** Two-sided. */
  readonly p: number;
  readonly interval: Interval;
}

/**
 * t test and interval of a value whose standard error has `df` degrees of freedom.
 *
 * @param df > 0; infinite where the error is known. A standard error of zero gives p 0, or 1 where the value is 0 too.
 */
export function estimate(value: number, standardError: number, df: number, level = LEVEL): Estimate {
  const t = standardError > 0 ? value / standardError : value === 0 ? 0 : Math.sign(value) * Number.POSITIVE_INFINITY;
  const reach = studentQuantile((1 + level) / 2, df) * standardError;
  const interval = { low: value - reach, high: value + reach, level };
  return { value, standardError, df, t, p: studentTwoSided(t, df), interval };
}

/** Mean of a sample against zero; of differences of pairs it is the paired t test. At least two values. */
export function meanOf(values: readonly number[], level = LEVEL): Estimate {
  const n = values.length;
  return estimate(mean(values), standardDeviation(values) / Math.sqrt(n), n - 1, level);
}

/**
 * Difference after - before of two means with one variance, pooled over the two samples and any further ones that are
 * believed to scatter alike.
 *
 * @param before,after at least one value each, at least one of all samples with two
 * @param others further samples that only add to the variance
 *
 * Source: Student, Biometrika 6 (1908) 1.
 */
export function pooledDifference(
  before: readonly number[],
  after: readonly number[],
  level = LEVEL,
  others: readonly (readonly number[])[] = [],
): Estimate {
  let squares = 0;
  let df = 0;
  for (const sample of [before, after, ...others])
    if (sample.length > 1) {
      squares += (sample.length - 1) * standardDeviation(sample) ** 2;
      df += sample.length - 1;
    }
  const error = Math.sqrt((squares / df) * (1 / before.length + 1 / after.length));
  return estimate(mean(after) - mean(before), error, df, level);
}

/**
 * Degrees of freedom of a sum of independent parts, each with its own variance and degrees of freedom.
 *
 * @param parts variances of the parts as they enter the sum, and their df (infinite where a variance is known)
 * @returns infinite where no part is uncertain
 *
 * Source: Welch–Satterthwaite formula, JCGM 100:2008 (GUM), G.4.
 */
export function effectiveDf(parts: readonly { readonly variance: number; readonly df: number }[]): number {
  const total = parts.reduce((sum, { variance }) => sum + variance, 0);
  const doubt = parts.reduce((sum, { variance, df }) => sum + variance ** 2 / df, 0);
  return doubt > 0 ? total ** 2 / doubt : Number.POSITIVE_INFINITY;
}

/**
 * Difference after - before of two means whose variances may differ.
 *
 * @param before,after at least two values each
 *
 * Source: Welch, Biometrika 34 (1947) 28.
 */
export function unequalDifference(before: readonly number[], after: readonly number[], level = LEVEL): Estimate {
  const parts = [before, after].map((sample) => ({
    variance: standardDeviation(sample) ** 2 / sample.length,
    df: sample.length - 1,
  }));
  const error = Math.sqrt(parts[0]!.variance + parts[1]!.variance);
  return estimate(mean(after) - mean(before), error, effectiveDf(parts), level);
}
