import { betaQuantile } from './distributions.ts';
import type { Interval } from './interval.ts';

/** Fewest laps of the reference rider that a percentile is given for: with five, one of the rider's own next laps lies
 * outside the range of the five in one case of three. */
const FEWEST = 5;

export interface HumanBand {
  /** Laps of the reference rider. */
  readonly n: number;
  /** Share of them that are faster, 0 to 1, equal ones half; null where there are too few. */
  readonly faster: number | null;
  /** 90 % interval of the share of all the rider's laps that would be faster; null where there are too few. */
  readonly interval: Interval | null;
  /** Chance that a further lap of the reference rider would itself lie outside the range of these laps: 2 / (n + 1). */
  readonly outsideByChance: number;
  readonly verdict: 'inside' | 'slower than all' | 'faster than all' | 'too few';
}

/**
 * Where one lap (or one corner of it) of the robot lies among the reference rider's own laps.
 *
 * @param time of the robot, s, or any measure of which more is slower
 * @param reference times of the reference rider's valid laps under like conditions, s
 *
 * Source: exact binomial interval of Clopper & Pearson, Biometrika 26 (1934) 404.
 */
export function humanBand(time: number, reference: readonly number[]): HumanBand {
  const n = reference.length;
  const outsideByChance = Math.min(1, 2 / (n + 1));
  if (n < FEWEST || Number.isNaN(time)) return { n, faster: null, interval: null, outsideByChance, verdict: 'too few' };
  const below = reference.filter((lap) => lap < time).length;
  const equal = reference.filter((lap) => lap === time).length;
  const interval = {
    low: betaQuantile(0.05, below, n - below + 1),
    high: betaQuantile(0.95, below + equal + 1, n - below - equal),
    level: 0.9,
  };
  const verdict = below === n ? 'slower than all' : below + equal === 0 ? 'faster than all' : 'inside';
  return { n, faster: (below + equal / 2) / n, interval, outsideByChance, verdict };
}
