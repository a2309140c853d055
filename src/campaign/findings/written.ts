import type { Comparison } from '../../statistics/compare.ts';
import type { HumanBand } from '../../statistics/humanBand.ts';
import type { Interval } from '../../statistics/interval.ts';
import type { Loss } from '../../statistics/loss.ts';
import type { BandPlace, ComparisonFound, LossFound } from './schema.ts';

/** Digits after the point of what is written in seconds, and of probabilities: far below what laps can tell. */
const DIGITS = 6;

/** A number as it is written; null for what is not one, which JSON has not. */
export const kept = (value: number | null): number | null =>
  value === null || !Number.isFinite(value) ? null : whole(value);

/** A number that is one. */
export const whole = (value: number): number => Math.round(value * 10 ** DIGITS) / 10 ** DIGITS + 0;

export const intervalFound = (interval: Interval | null): ComparisonFound['interval'] =>
  interval && Number.isFinite(interval.low) && Number.isFinite(interval.high)
    ? { lowS: whole(interval.low), highS: whole(interval.high), level: whole(interval.level) }
    : null;

/** @param q p among all that were looked at; p itself where it stands alone */
export function comparisonFound(found: Comparison, q = found.p): ComparisonFound {
  const side = ({ laps, runs, days, median }: Comparison['before']) => ({ laps, runs, days, medianS: kept(median) });
  return {
    verdict: found.verdict,
    scope: found.scope,
    before: side(found.before),
    after: side(found.after),
    changeS: kept(found.change),
    interval: intervalFound(found.interval),
    p: kept(found.p),
    q: kept(q),
    detectableS: kept(found.detectable),
  };
}

/** @param q p among all that were looked at; p itself where it stands alone */
export const lossFound = (found: Loss, q = found.p): LossFound => ({
  verdict: found.verdict,
  laps: found.laps,
  days: found.days,
  lossS: kept(found.value),
  interval: intervalFound(found.interval),
  p: kept(found.p),
  q: kept(q),
  detectableS: kept(found.detectable),
});

export const bandFound = ({ n, faster, interval, outsideByChance, verdict }: HumanBand): BandPlace => ({
  n,
  faster: kept(faster),
  low: kept(interval?.low ?? null),
  high: kept(interval?.high ?? null),
  outsideByChance: whole(outsideByChance),
  verdict,
});
