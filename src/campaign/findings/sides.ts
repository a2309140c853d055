import { GROUPS, type GroupKey } from '../../causes/cause.ts';
import { median } from '../../numbers/quantile.ts';
import type { RunValues } from '../../statistics/runs.ts';
import { type Digest, groupKey } from './digest.ts';

/** Runs are told apart by their place among those of one session. */
const MOST_RUNS = 1000;

/**
 * One part of the lap in the counted laps of some sessions, run by run. Sessions of one day follow each other by name.
 *
 * @param only the runs that count; all where nothing is said
 */
export const runsOf = (
  sessions: readonly Digest[],
  key: string,
  only: (run: Digest['runs'][number]) => boolean = () => true,
): RunValues[] =>
  sessions.flatMap(({ session, date, runs, place }) =>
    runs.flatMap((run, i) => {
      const values = run.laps.flatMap(({ gapS }) => (gapS[key] === undefined ? [] : [gapS[key]]));
      return only(run) && values.length > 0
        ? [{ session, day: date.slice(0, 10), order: place * MOST_RUNS + i, values }]
        : [];
    }),
  );

/** Counted laps of a session. */
export const lapsIn = ({ runs }: Digest): Digest['runs'][number]['laps'] => runs.flatMap(({ laps }) => laps);

/** Groups of causes by which anything is lost or gained in the counted laps of all these sessions; none where laps were not split. */
export const groupsIn = (sessions: readonly Digest[]): GroupKey[] =>
  GROUPS.filter((group) => sessions.some((session) => lapsIn(session).some(({ gapS }) => gapS[groupKey(group)])));

/** Median of a part over the counted laps of a session; null where none has it. */
export function medianOf(session: Digest, key: string): number | null {
  const values = lapsIn(session).flatMap(({ gapS }) => (gapS[key] === undefined ? [] : [gapS[key]]));
  return values.length === 0 ? null : median(values);
}

/** Standard deviation that all laps of a session share, from position, timing and the reference point. */
export function systematicOf(session: Digest, key: string): number {
  const sigmas = lapsIn(session).flatMap(({ sigmaS }) => (sigmaS[key] === undefined ? [] : [sigmaS[key]]));
  return sigmas.length === 0 ? 0 : median(sigmas);
}

/** Weeks of a date since 1970-01-01. */
export const weeksOf = (date: string): number => Date.parse(`${date.slice(0, 10)}T00:00:00Z`) / (7 * 86_400_000);

/** The day so many weeks after 1970-01-01. */
export const dateAt = (weeks: number): string =>
  new Date(Math.round(weeks * 7) * 86_400_000).toISOString().slice(0, 10);
