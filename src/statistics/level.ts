import { mean, standardDeviation } from '../numbers/moments.ts';
import { median } from '../numbers/quantile.ts';
import type { MeasuredValue } from './conformity.ts';
import { dayMedians, lapsOf, type RunValues } from './runs.ts';
import { effectiveDf } from './student.ts';

/** Where a robot stands: the value with its standard uncertainty and what that is of. */
export interface Level extends MeasuredValue {
  readonly laps: number;
  readonly days: number;
}

const FEWEST_LAPS = 3;
/** Standard deviation of a median over that of a mean, for values that scatter normally. */
const MEDIAN_OVER_MEAN = Math.sqrt(Math.PI / 2);

/**
 * The level of laps: the median lap of one day, or the mean of the days' medians.
 *
 * @param runs values of the counted laps
 * @param systematic standard deviation that all laps share and more of them do not reduce, same unit
 * @returns null for fewer than three laps. Of one day the uncertainty is that of this day's laps: how much another day
 * would differ is not in it.
 *
 * Source: sampling variance of a median, Kenney & Keeping, Mathematics of Statistics 1 (1962), 14.6; degrees of freedom of
 * the sum, JCGM 100:2008, G.4.
 */
export function level(runs: readonly RunValues[], systematic = 0): Level | null {
  const laps = lapsOf(runs);
  if (laps.length < FEWEST_LAPS) return null;
  const medians = dayMedians(runs);
  const days = medians.length;
  const scatter =
    days > 1 ? standardDeviation(medians) ** 2 / days : (MEDIAN_OVER_MEAN * standardDeviation(laps)) ** 2 / laps.length;
  const parts = [{ variance: scatter, df: (days > 1 ? days : laps.length) - 1 }];
  if (systematic > 0) parts.push({ variance: systematic ** 2, df: Number.POSITIVE_INFINITY });
  return {
    value: days > 1 ? mean(medians) : median(laps),
    standardError: Math.sqrt(scatter + systematic ** 2),
    df: effectiveDf(parts),
    laps: laps.length,
    days,
  };
}
