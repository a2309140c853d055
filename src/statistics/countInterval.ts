import { chdtri } from 'cephes';
import './distributions.ts';
import type { Interval } from './interval.ts';

/**
 * Interval for the expected count behind a count of rare events.
 *
 * @param count whole, 0 or more
 *
 * Example: nothing seen has 0 to 3.00 at 90 % on two sides (0.05 left above).
 * Source: exact limits by the chi-squared distribution, Garwood, Biometrika 28 (1936) 437.
 */
export function countInterval(count: number, level = 0.9): Interval {
  const out = (1 - level) / 2;
  return {
    low: count === 0 ? 0 : chdtri(2 * count, 1 - out) / 2,
    high: chdtri(2 * count + 2, out) / 2,
    level,
  };
}
