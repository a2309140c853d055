import type { SessionResult } from '../campaign/results.ts';
import { foundOf } from './findings/found.ts';
import type { Results } from './readResults.ts';

/**
 * The one of several days that speaks for now: the latest that counts as progress (on the track, on the surface of the
 * reference), else the latest on the track, else the latest. Null where there is none.
 *
 * @param days by date
 */
export function latestOf<T>(
  days: readonly T[],
  told: (day: T) => { readonly progress: boolean; readonly stage: SessionResult['stage'] },
): T | null {
  return (
    days.findLast((day) => told(day).progress) ??
    days.findLast((day) => told(day).stage === 'track') ??
    days.at(-1) ??
    null
  );
}

/**
 * The session that speaks for now among those of the robot that compare with a reference lap.
 *
 * @param among all of the campaign where it is left out
 * @param until a later session says nothing about that day
 */
export function latestSession(
  results: Results,
  among: readonly SessionResult[] = results.sessions,
  until = '9999',
): SessionResult | null {
  const compared = among.filter(
    (s) => s.date <= until && s.rider.kind === 'robot' && s.summary !== null && s.summary.medianGapS !== null,
  );
  return latestOf(compared, ({ session, stage }) => ({
    stage,
    progress: foundOf(results, session)?.progress ?? false,
  }));
}
