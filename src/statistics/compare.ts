import { median } from '../numbers/quantile.ts';
import { detectableRatio, LEVEL } from './detectable.ts';
import type { Interval } from './interval.ts';
import { leastSquares } from './leastSquares.ts';
import { rankShift } from './rankShift.ts';
import { byDay, dayMedians, lapsOf, type RunValues } from './runs.ts';
import { counts, type Spread, spread } from './spread.ts';
import { type Estimate, estimate, pooledDifference } from './student.ts';

/**
 * `real` is only said of differences that were seen between days, or between versions that took turns within a day;
 * `within these sessions only` of laps that differ where the day could be the reason; `too few` where no outcome could
 * have been told from chance.
 */
export type Verdict = 'real' | 'within these sessions only' | 'cannot tell' | 'too few';

export type Scope = 'between days' | 'taking turns' | 'within these sessions only';

/** Laps on a side below which no interval is given. */
const FEWEST_LAPS = 3;

export interface Comparison {
  readonly verdict: Verdict;
  readonly scope: Scope;
  readonly before: { readonly laps: number; readonly runs: number; readonly days: number; readonly median: number };
  readonly after: { readonly laps: number; readonly runs: number; readonly days: number; readonly median: number };
  /** After - before: of medians of days or runs, or of laps where there is one day. NaN where a side is empty. */
  readonly change: number;
  /** Null for fewer than three laps on a side. Its level is what the numbers allow. */
  readonly interval: Interval | null;
  /** Two-sided; NaN for too few. */
  readonly p: number;
  /** Smallest change that would be seen in four of five repetitions; null where it cannot be estimated. */
  readonly detectable: number | null;
  readonly spread: Spread;
}

/** Versions took turns in a day when one of them was ridden before and after the other. */
function turns(before: readonly RunValues[], after: readonly RunValues[]): string[] {
  const [a, b] = [byDay(before), byDay(after)];
  return [...a.keys()].filter((day) => {
    if (!b.has(day)) return false;
    const sides = [
      ...a.get(day)!.map(({ order }) => ({ order, side: 0 })),
      ...b.get(day)!.map(({ order }) => ({ order, side: 1 })),
    ]
      .sort((x, y) => x.order - y.order)
      .map(({ side }) => side);
    return sides.filter((side, i) => i > 0 && side !== sides[i - 1]).length >= 2;
  });
}

/**
 * Compares two sets of runs by their median laps; the best lap plays no part. With two days a side the day is the unit;
 * where versions took turns within a day the run is, beside a steady drift over the day; else laps are compared and the
 * answer holds within these sessions only.
 *
 * @param before,after runs of the two sides, no NaN among their values
 * @param others runs of further versions, one list each, that scatter from day to day as these do: they sharpen the
 * day-to-day variance
 *
 * Example: 5 laps on one day against 5 laps on another are never `real`, however far apart.
 */
export function compare(
  before: readonly RunValues[],
  after: readonly RunValues[],
  others: readonly (readonly RunValues[])[] = [],
): Comparison {
  const base = {
    before: { ...counts(before), median: median(lapsOf(before)) },
    after: { ...counts(after), median: median(lapsOf(after)) },
    spread: spread([before, after, ...others]),
  };
  const days = turns(before, after);
  const alternating = days.length > 0 ? takingTurns(before, after, days) : null;
  if (alternating) return { ...base, ...judged(alternating, 'taking turns') };
  if (base.before.days >= 2 && base.after.days >= 2) {
    const found = pooledDifference(dayMedians(before), dayMedians(after), LEVEL, others.map(dayMedians));
    return { ...base, ...judged(found, 'between days') };
  }
  return { ...base, ...byLaps(lapsOf(before), lapsOf(after), base.spread.lap) };
}

type Judged = Pick<Comparison, 'verdict' | 'scope' | 'change' | 'interval' | 'p' | 'detectable'>;

function judged({ value, interval, p, standardError, df }: Estimate, scope: Scope): Judged {
  const verdict = p <= 1 - LEVEL ? 'real' : 'cannot tell';
  return { verdict, scope, change: value, interval, p, detectable: detectableRatio(df) * standardError };
}

/** Median laps of runs on day, side and place in the day; null with too few runs to leave anything over. */
function takingTurns(
  before: readonly RunValues[],
  after: readonly RunValues[],
  days: readonly string[],
): Estimate | null {
  const rows = days.flatMap((day) => {
    const sides = [before, after].flatMap((runs, side) =>
      runs.filter((run) => run.day === day && run.values.length > 0).map((run) => ({ run, side })),
    );
    return sides
      .toSorted((x, y) => x.run.order - y.run.order)
      .map(({ run, side }, place, { length }) => ({
        day,
        side,
        place: place - (length - 1) / 2,
        value: median(run.values),
      }));
  });
  const columns = [
    rows.map(({ side }) => side),
    rows.map(({ place }) => place),
    ...days.map((day) => rows.map((row) => (row.day === day ? 1 : 0))),
  ];
  const fit = leastSquares(
    columns,
    rows.map(({ value }) => value),
  );
  return fit ? estimate(fit.coefficients[0]!, fit.standardErrors[0]!, fit.df) : null;
}

function byLaps(before: readonly number[], after: readonly number[], lapSd: number | null): Judged {
  const scope = 'within these sessions only';
  const [m, n] = [before.length, after.length];
  const detectable =
    lapSd === null || m * n === 0 ? null : detectableRatio(m + n - 2) * lapSd * Math.sqrt(1 / m + 1 / n);
  if (m === 0 || n === 0)
    return { verdict: 'too few', scope, change: Number.NaN, interval: null, p: Number.NaN, detectable };
  const { interval: ofShift, p, leastP } = rankShift(before, after);
  // Not the shift by ranks: whoever subtracts the two medians on a page shall find this number.
  const change = median(after) - median(before);
  const interval = { ...ofShift, low: Math.min(ofShift.low, change), high: Math.max(ofShift.high, change) };
  if (leastP > 1 - LEVEL) {
    // Six laps in all have an interval still, at its own level; four have none worth the name.
    const enough = Math.min(m, n) >= FEWEST_LAPS;
    return { verdict: 'too few', scope, change, interval: enough ? interval : null, p: Number.NaN, detectable };
  }
  return { verdict: p <= 1 - LEVEL ? scope : 'cannot tell', scope, change, interval, p, detectable };
}
