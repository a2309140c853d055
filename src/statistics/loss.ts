import { mean, standardDeviation } from '../numbers/moments.ts';
import { median } from '../numbers/quantile.ts';
import type { Verdict } from './compare.ts';
import { detectableRatio, LEVEL } from './detectable.ts';
import { normalBelow, normalQuantile } from './distributions.ts';
import type { Interval } from './interval.ts';
import { medianInterval } from './medianInterval.ts';
import { seedOf } from './random.ts';
import { dayMedians, lapsOf, type RunValues } from './runs.ts';
import { counts } from './spread.ts';
import { effectiveDf, estimate, meanOf } from './student.ts';

export interface Loss {
  /** `real` needs two days at least. */
  readonly verdict: Verdict;
  readonly laps: number;
  readonly days: number;
  /** Mean of the days' medians; of one day its median lap. Positive: slower. NaN without laps. */
  readonly value: number;
  readonly interval: Interval | null;
  /** Two-sided, against no loss and no gain; NaN for too few. */
  readonly p: number;
  /** Smallest loss that would be seen in four of five repetitions; null where it cannot be estimated. */
  readonly detectable: number | null;
}

const FEWEST_LAPS = 3;
/** From so many laps on, all on one side of zero are less likely than one in twenty by chance. */
const SIGNS_FROM = 6;

/**
 * Is there a loss at all: gaps of one side against zero. Another question than whether it changed, see `compare`.
 *
 * @param runs gaps of the counted laps to the reference, positive slower
 * @param systematic standard deviation that all these gaps share and more laps do not reduce (position, timing, the
 * reference lap), same unit
 *
 * Source: t test on days; on one day the exact sign test, or for three to five laps the t test on laps, with the interval
 * of `medianInterval`.
 */
export function loss(runs: readonly RunValues[], systematic = 0): Loss {
  const { laps, days } = counts(runs);
  const values = lapsOf(runs);
  if (days >= 2) {
    const medians = dayMedians(runs);
    const scatter = standardDeviation(medians) ** 2 / days;
    const shared = systematic ** 2;
    const df = effectiveDf([
      { variance: scatter, df: days - 1 },
      ...(shared > 0 ? [{ variance: shared, df: Number.POSITIVE_INFINITY }] : []),
    ]);
    const found = estimate(mean(medians), Math.sqrt(scatter + shared), df);
    const verdict = found.p <= 1 - LEVEL ? 'real' : 'cannot tell';
    const detectable = detectableRatio(df) * found.standardError;
    return { verdict, laps, days, value: found.value, interval: found.interval, p: found.p, detectable };
  }
  const value = median(values);
  const { interval } = medianInterval(values, seedOf(values));
  if (laps < FEWEST_LAPS)
    return { verdict: 'too few', laps, days, value, interval: null, p: Number.NaN, detectable: null };
  const sd = standardDeviation(values);
  const chance = laps < SIGNS_FROM ? meanOf(values).p : signTest(values);
  const bySystematic = systematic > 0 ? 2 * normalBelow(-Math.abs(value) / systematic) : 0;
  const p = Math.max(chance, bySystematic);
  const detectable = Math.hypot(
    detectableRatio(laps - 1) * (sd / Math.sqrt(laps)),
    detectableRatio(Number.POSITIVE_INFINITY) * systematic,
  );
  const verdict = p <= 1 - LEVEL ? 'within these sessions only' : 'cannot tell';
  return { verdict, laps, days, value, interval: widened(value, interval!, systematic), p, detectable };
}

/** Two-sided; laps of exactly zero count for neither side. */
function signTest(values: readonly number[]): number {
  const slower = values.filter((v) => v > 0).length;
  const n = slower + values.filter((v) => v < 0).length;
  let term = 0.5 ** n;
  let tail = 0;
  for (let k = 0; k <= Math.min(slower, n - slower); k++) {
    tail += term;
    term *= (n - k) / (k + 1);
  }
  return Math.min(1, 2 * tail);
}

function widened(value: number, interval: Interval, systematic: number): Interval {
  if (systematic === 0) return interval;
  const reach = normalQuantile((1 + interval.level) / 2) * systematic;
  return {
    low: value - Math.hypot(value - interval.low, reach),
    high: value + Math.hypot(interval.high - value, reach),
    level: interval.level,
  };
}
