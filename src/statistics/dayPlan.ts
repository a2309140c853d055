import { detectableRatio, LEVEL, POWER } from './detectable.ts';
import { orderOfRuns } from './orderOfRuns.ts';

export interface DayQuestion {
  /** Smallest difference between two versions that the day should show, s. */
  readonly effectS: number;
  readonly versions: readonly string[];
  /** Standard deviation from lap to lap of one run, s. */
  readonly lapS: number;
  /** From run to run of one day beyond that, s; 0 where it is not known. */
  readonly runS: number;
  readonly lapsPerRun: number;
  /** Most runs that the day has room for, all versions together. */
  readonly mostRuns: number;
}

export interface DayPlan {
  /** Null where the day is too short for the effect: the rest then holds for the fullest day. */
  readonly runsPerVersion: number | null;
  readonly lapsPerVersion: number;
  /** Version of each run, so that a steady drift over the day falls on all alike. Empty for fewer than two versions. */
  readonly order: readonly string[];
  /** Smallest difference that this plan shows in four of five repetitions, s; null with too few runs for any. */
  readonly detectableS: number | null;
  readonly df: number;
  /** Longer runs that would do where more runs do not fit: laps per run, null where no length would. */
  readonly lapsPerRunNeeded: number | null;
}

const LONGEST_RUN = 60;

/**
 * How many runs and laps of each version to ride to see a given effect, and in which order.
 *
 * Method: power of the t test on median laps of runs with a level for each version and a steady drift over the day, as
 * `compare` does it for versions that take turns.
 */
export function dayPlan(question: DayQuestion): DayPlan {
  const { versions, effectS, mostRuns, lapsPerRun } = question;
  const most = Math.floor(mostRuns / Math.max(versions.length, 1));
  const whole = (runs: number, laps = lapsPerRun) => detectable(question, runs, laps);
  let runs = 1;
  while (runs < most && !(whole(runs).detectableS <= effectS)) runs++;
  const reached = whole(runs);
  const enough = versions.length >= 2 && runs <= most && reached.detectableS <= effectS;
  let longer: number | null = null;
  for (let laps = lapsPerRun; !enough && laps <= LONGEST_RUN && longer === null && most > 0; laps++)
    if (whole(most, laps).detectableS <= effectS) longer = laps;
  return {
    runsPerVersion: enough ? runs : null,
    lapsPerVersion: runs * lapsPerRun,
    order: orderOfRuns(versions, Math.min(runs, most)),
    detectableS: Number.isFinite(reached.detectableS) ? reached.detectableS : null,
    df: reached.df,
    lapsPerRunNeeded: enough ? lapsPerRun : longer,
  };
}

function detectable(
  { versions, lapS, runS }: DayQuestion,
  runs: number,
  laps: number,
): { detectableS: number; df: number } {
  const df = versions.length * runs - versions.length - 1;
  if (df < 1) return { detectableS: Number.POSITIVE_INFINITY, df };
  const variance = runS ** 2 + lapS ** 2 * medianVariance(laps);
  return { detectableS: detectableRatio(df, POWER, LEVEL) * Math.sqrt((2 * variance) / runs), df };
}

/**
 * Variance of the median of n normal laps over that of one lap. Exact for one and two; else the large-sample value
 * pi / (2 n) corrected for few, within 3 %.
 */
export function medianVariance(n: number): number {
  if (n <= 2) return 1 / n;
  return n % 2 === 1 ? Math.PI / (2 * n + Math.PI - 2) : Math.PI / (2 * n + 2 * (Math.PI - 2));
}
