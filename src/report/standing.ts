import type { SessionResult } from '../campaign/results.ts';
import type { Results } from './readResults.ts';
import { type Summary, summary } from './summary.ts';

/** Median gap of a session with the range over its counted laps; null where it has none. */
export function standing(results: Results, session: SessionResult): Summary | null {
  return summary(
    results
      .laps(session)
      .filter((l) => l.speaks)
      .map((l) => l.lap.gapS)
      .filter((gap) => gap !== null),
  );
}
