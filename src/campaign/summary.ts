import { median } from '../numbers/quantile.ts';
import type { LapResult, RunResult, SessionResult } from './results.ts';

/** The counted laps of a session's rider in a few numbers; null where there is none. */
export function summaryOf(session: string, rider: string, runs: readonly RunResult[]): SessionResult['summary'] {
  const laps = runs
    .filter((run) => run.rider === rider)
    .flatMap((run) => run.laps.filter((lap) => lap.counted).map((lap) => ({ run: run.file, lap, timeS: lap.timeS! })))
    .toSorted((x, y) => x.timeS - y.timeS);
  const [best] = laps;
  const last = laps.at(-1);
  if (!best || !last) return null;
  const name = ({ run, lap }: { run: string; lap: LapResult }) => ({ session, run, lap: lap.lap });
  const gaps = laps.flatMap(({ lap }) => (lap.gapS === null ? [] : [lap.gapS]));
  return {
    laps: laps.length,
    medianS: median(laps.map(({ timeS }) => timeS)),
    medianGapS: gaps.length === laps.length ? median(gaps) : null,
    // With an even number the faster of the two in the middle: a lap that was ridden, not a mean.
    medianLap: name(laps[(laps.length - 1) >> 1]!),
    bestLap: name(best),
    bestS: best.timeS,
    bestGapS: best.lap.gapS,
    slowestS: last.timeS,
    cells: medianCells(laps.map(({ lap }) => lap)),
  };
}

type SummaryCell = NonNullable<SessionResult['summary']>['cells'][number];

function medianCells(laps: readonly LapResult[]): SummaryCell[] {
  return (laps[0]?.ledger ?? []).map((first): SummaryCell => {
    const same = laps.flatMap(({ ledger }) =>
      ledger.filter((c) => c.corner === first.corner && c.cell === first.cell && c.part === first.part),
    );
    const gaps = same.map(({ gapS }) => gapS);
    return {
      corner: first.corner,
      cell: first.cell,
      phase: first.phase,
      ...(first.part === undefined ? {} : { part: first.part }),
      fromM: median(same.map(({ fromM }) => fromM)),
      toM: median(same.map(({ toM }) => toM)),
      medianGapS: median(gaps),
      lowGapS: Math.min(...gaps),
      highGapS: Math.max(...gaps),
      slowerLaps: gaps.filter((gap) => gap > 0).length,
    };
  });
}
