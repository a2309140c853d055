import { mean } from '../numbers/moments.ts';
import { median } from '../numbers/quantile.ts';
import { byDay, lapsOf, type RunValues } from './runs.ts';

/** Standard deviations at the three levels, in the unit of the values; null where there was nothing to tell it from. */
export interface Spread {
  /** Between laps of one run. */
  readonly lap: number | null;
  /** Between runs of one day, beyond what laps explain. */
  readonly run: number | null;
  /** Between days of one side, beyond what runs and laps explain. */
  readonly day: number | null;
}

/** Laps further than this many robust deviations from the median of their day are drawn in to it. */
const FAR = 5;

/**
 * How much values scatter from lap to lap, run to run and day to day.
 *
 * @param sides runs of one side each (one controller version, say); differences between sides do not count
 * @returns zero where a level adds nothing beyond the levels below it
 *
 * Method: nested analysis of variance with unequal numbers, Searle, Casella & McCulloch, Variance Components (1992), ch. 5;
 * a spoilt lap is drawn in first.
 */
export function spread(sides: readonly (readonly RunValues[])[]): Spread {
  const tree = drawnIn(
    sides.map((runs) => [...byDay(runs).values()].map((day) => day.map(({ values }) => [...values]))),
  );
  const groups = tree.filter((days) => days.length > 0);
  const days = groups.flat();
  const runs = days.flat();
  const laps = runs.flat();
  // Squared numbers of laps of runs or days, over the number in what holds them: weights of the expected squares.
  const share = (parts: readonly (readonly number[])[], whole: number): number =>
    parts.reduce((s, part) => s + part.length ** 2, 0) / whole;
  const about = (parts: readonly (readonly number[])[], centre: number): number =>
    parts.reduce((s, part) => s + part.length * (mean(part) - centre) ** 2, 0);
  const lapSquares = runs.reduce(
    (s, run) =>
      s +
      about(
        run.map((v) => [v]),
        mean(run),
      ),
    0,
  );
  const runSquares = days.reduce((s, day) => s + about(day, mean(day.flat())), 0);
  const daySquares = groups.reduce(
    (s, group) =>
      s +
      about(
        group.map((day) => day.flat()),
        mean(group.flat(2)),
      ),
    0,
  );
  const runsInDays = days.reduce((s, day) => s + share(day, day.flat().length), 0);
  const runsInGroups = groups.reduce((s, group) => s + share(group.flat(), group.flat(2).length), 0);
  const daysInGroups = groups.reduce(
    (s, group) =>
      s +
      share(
        group.map((day) => day.flat()),
        group.flat(2).length,
      ),
    0,
  );
  const [lapDf, runDf, dayDf] = [laps.length - runs.length, runs.length - days.length, days.length - groups.length];
  const lap = lapDf > 0 ? lapSquares / lapDf : null;
  const run = runDf > 0 && lap !== null ? Math.max(0, (runSquares - runDf * lap) / (laps.length - runsInDays)) : null;
  const below = dayDf * (lap ?? 0) + (runsInDays - runsInGroups) * (run ?? 0);
  const day = dayDf > 0 ? Math.max(0, (daySquares - below) / (laps.length - daysInGroups)) : null;
  const root = (variance: number | null): number | null => (variance === null ? null : Math.sqrt(variance));
  return { lap: root(lap), run: root(run), day: root(day) };
}

function drawnIn(tree: number[][][][]): number[][][][] {
  const distances: number[] = [];
  for (const days of tree)
    for (const day of days) {
      const centre = median(day.flat());
      for (const value of day.flat()) distances.push(Math.abs(value - centre));
    }
  const far = FAR * 1.4826 * median(distances);
  if (!(far > 0)) return tree;
  return tree.map((days) =>
    days.map((day) => {
      const centre = median(day.flat());
      return day.map((run) => run.map((value) => Math.min(Math.max(value, centre - far), centre + far)));
    }),
  );
}

/** Laps of a side, for counting. */
export const counts = (runs: readonly RunValues[]): { laps: number; runs: number; days: number } => ({
  laps: lapsOf(runs).length,
  runs: runs.filter(({ values }) => values.length > 0).length,
  days: byDay(runs).size,
});
