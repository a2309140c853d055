import type { SessionResult } from '../../campaign/results.ts';
import { summaryOf } from '../../campaign/summary.ts';
import type { Verdict } from './verdict.ts';

/**
 * The evidence as one session: its last session with the laps of the evidence alone, for the tables and figures that show a
 * session's medians.
 *
 * @returns null without laps
 */
export function medianOfLaps({ laps, session }: Verdict): SessionResult | null {
  if (!session || laps.length === 0) return null;
  const runs = [...new Set(laps.map(({ run }) => run))].map((run) => ({
    ...run,
    laps: laps.filter((of) => of.run === run).map(({ lap }) => lap),
  }));
  return { ...session, runs, summary: summaryOf(session.session, session.rider.key, runs) };
}
