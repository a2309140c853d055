import type { CircuitView, SessionResult } from '../campaign/results.ts';
import type { Results } from './readResults.ts';
import { dayOfNow, robotDays } from './robotDays.ts';
import { type Summary, summary } from './summary.ts';

/** What each corner of a circuit costs now, over the counted laps of the day that speaks for now. */
export function cornersNow(
  results: Results,
  circuit: CircuitView,
): { session: SessionResult | null; of(corner: string): Summary | null } {
  const now = dayOfNow(robotDays(results, circuit.id));
  return {
    session: now?.session ?? null,
    of: (corner) =>
      summary(
        (now?.laps ?? [])
          .map((l) => l.lap.ledger.filter((c) => c.corner === corner))
          .filter((cells) => cells.length > 0)
          .map((cells) => cells.reduce((sum, c) => sum + c.gapS, 0)),
      ),
  };
}
