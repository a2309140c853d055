import type { SessionResult } from '../campaign/results.ts';
import { foundOf } from './findings/found.ts';
import { latestOf } from './now.ts';
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

/** The day that speaks for now among those that compare with a reference. */
export function dayOfNow(days: readonly RobotDay[]): RobotDay | null {
  const compared = days.filter((d) => d.laps.some((l) => l.lap.ledger.length > 0));
  return latestOf(compared, ({ progress, session }) => ({ progress, stage: session.stage }));
}
