import { median } from '../numbers/quantile.ts';

/** The values (lap times, gaps, losses of one corner) of the counted laps of one run, in the order they were ridden. */
export interface RunValues {
  readonly session: string;
  /** Day of the session, ISO date. Sessions of one day share its weather and count as one. */
  readonly day: string;
  /** Rises with the time of day; compares runs of one day only. */
  readonly order: number;
  readonly values: readonly number[];
}

/** Values by day, days in order. Runs without values are left out. */
export function byDay(runs: readonly RunValues[]): Map<string, readonly RunValues[]> {
  const days = new Map<string, RunValues[]>();
  for (const run of runs.toSorted((a, b) => (a.day < b.day ? -1 : a.day > b.day ? 1 : a.order - b.order))) {
    if (run.values.length === 0) continue;
    const before = days.get(run.day);
    if (before) before.push(run);
    else days.set(run.day, [run]);
  }
  return days;
}

/** All values of runs, in order. */
export const lapsOf = (runs: readonly RunValues[]): number[] => runs.flatMap(({ values }) => values);

/** The median lap of each day. */
export const dayMedians = (runs: readonly RunValues[]): number[] =>
  [...byDay(runs).values()].map((day) => median(lapsOf(day)));
