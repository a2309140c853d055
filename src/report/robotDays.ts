import type { SessionResult } from '../campaign/results.ts';
import { foundOf } from './findings/found.ts';
import type { LapOf, Results } from './readResults.ts';

/** A session of the robot with its counted laps. */
export interface RobotDay {
  readonly session: SessionResult;
  readonly laps: readonly LapOf[];
  /** Speaks for the robot on the track: not wet against a dry reference, say. */
  readonly progress: boolean;
}

/** The sessions of the robot on a circuit that have a counted lap, by date. */
export function robotDays(results: Results, circuit: string): RobotDay[] {
  return results.sessions
    .filter((s) => s.circuit === circuit && s.rider.kind === 'robot')
    .map((session) => ({
      session,
      laps: results.laps(session).filter((l) => l.speaks),
      progress: foundOf(results, session.session)?.progress ?? false,
    }))
    .filter((day) => day.laps.length > 0);
}

/**
 * The day that speaks for now: the latest on the track that compares with a reference and was ridden under like
 * conditions, else the latest on the track, else the latest.
 */
export function dayOfNow(days: readonly RobotDay[]): RobotDay | null {
  const compared = days.filter((d) => d.laps.some((l) => l.lap.ledger.length > 0));
  return (
    compared.findLast((d) => d.progress) ??
    compared.findLast((d) => d.session.stage === 'track') ??
    compared.at(-1) ??
    null
  );
}
