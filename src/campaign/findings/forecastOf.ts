import { forecast } from '../../statistics/forecast.ts';
import type { CampaignResult } from '../results.ts';
import { type Digest, LAP } from './digest.ts';
import type { CircuitFindings, VersionStepFound } from './schema.ts';
import { dateAt, medianOf, weeksOf } from './sides.ts';
import { kept, whole } from './written.ts';

/** The fan reaches so far beyond the last session where no target lies later, and at most so far. */
const LEAST_WEEKS = 6;
const MOST_WEEKS = 26;
/** A robot that has been ahead may come so much further, as a share of the reference lap. */
const FURTHER_SHARE = 0.01;

/**
 * Forecast of the median gap, from the sessions that speak for the robot on the track.
 *
 * @param steps of the whole lap: they enter as jumps, so that no curve is drawn through them
 * @param referenceS time of the reference lap
 */
export function forecastOf(
  sessions: readonly Digest[],
  targets: CampaignResult['targets'],
  steps: readonly VersionStepFound[],
  referenceS: number | null,
): CircuitFindings['forecast'] {
  const measured = sessions.flatMap((session) => {
    const gapS = medianOf(session, LAP);
    return gapS === null ? [] : [{ session: session.session, weeks: weeksOf(session.date), gapS }];
  });
  const points = measured.map(({ weeks, gapS }, i) => ({
    weeks,
    gapS: steps.reduce(
      (s, step) => (i < measured.findIndex((m) => m.session === step.session) ? s + step.sizeS : s),
      gapS,
    ),
  }));
  const [first, last] = [points[0], points.at(-1)];
  const weeksSeen = new Set(points.map(({ weeks }) => Math.floor(weeks - first!.weeks + 1e-9))).size;
  const base = { sessions: points.length, effectiveWeeks: weeksSeen };
  if (!first || !last) return { ...base, made: null };
  const due = targets.flatMap(({ name, due: date, gapS, lapTimeS }) => {
    const wantedS = gapS ?? (lapTimeS !== null && referenceS !== null ? lapTimeS - referenceS : null);
    return date === null || wantedS === null || !(weeksOf(date) > last.weeks)
      ? []
      : [{ name, due: date, gapS: wantedS, weeks: weeksOf(date) }];
  });
  const reach = Math.min(MOST_WEEKS, Math.max(LEAST_WEEKS, ...due.map(({ weeks }) => Math.ceil(weeks - last.weeks))));
  const weekly = Array.from({ length: reach }, (_, i) => last.weeks + i + 1);
  const bound = measured.every(({ gapS }) => gapS > 0) ? 0 : -FURTHER_SHARE * (referenceS ?? 100);
  const within = due.filter(({ weeks }) => weeks <= last.weeks + MOST_WEEKS);
  const made = forecast(points, [...weekly, ...within.map(({ weeks }) => weeks)], bound);
  if (!made) return { ...base, made: null };
  const at = (i: number) => {
    const { medianS, interval } = made.fan[i]!;
    return { medianS: whole(medianS), lowS: whole(interval.low), highS: whole(interval.high) };
  };
  return {
    ...base,
    made: {
      fan: weekly.map((weeks, i) => ({ date: dateAt(weeks), ...at(i), level: made.fan[i]!.interval.level })),
      targets: within.map(({ weeks, ...target }, i) => ({
        ...target,
        probability: whole(made.chance(weeks, target.gapS)),
        ...at(weekly.length + i),
      })),
      weights: Object.fromEntries(Object.entries(made.weights).map(([family, weight]) => [family, whole(weight)])),
      jumps: steps.map(({ session, sizeS }) => ({ session, sizeS })),
      record: {
        forecasts: made.record.forecasts,
        held: kept(made.record.held),
        scoreS: kept(made.record.score),
        persistenceScoreS: kept(made.record.persistenceScore),
      },
    },
  };
}
