import { studentPower } from './distributions.ts';

/** Power that "would have been seen" stands for. */
export const POWER = 0.8;
/** Level of the intervals that are printed, where the number of laps allows it. */
export const LEVEL = 0.95;

const known = new Map<string, number>();

/**
 * How many standard errors an effect must have so that a two-sided t test sees it with the given power. Times the
 * standard error of a comparison it is the minimum detectable effect, to be printed beside every "cannot tell".
 *
 * @param df of the standard error; infinite where it is known
 * @returns NaN for df not above 0
 *
 * Example: 5 laps against 5 have df 8 and a standard error of sqrt(2 / 5) sd: detectableRatio(8) * sqrt(0.4) = 2.02 sd.
 * Method: power of the t test by the noncentral t distribution (Cohen, Statistical Power Analysis, 2nd ed. (1988), ch. 2).
 */
export function detectableRatio(df: number, power = POWER, level = LEVEL): number {
  if (!(df > 0)) return Number.NaN;
  const key = `${df} ${power} ${level}`;
  const before = known.get(key);
  if (before !== undefined) return before;
  let low = 0;
  let high = 4;
  while (studentPower(high, df, level) < power) high *= 2;
  for (let i = 0; i < 60; i++) {
    const middle = (low + high) / 2;
    if (studentPower(middle, df, level) < power) low = middle;
    else high = middle;
  }
  known.set(key, high);
  return high;
}
