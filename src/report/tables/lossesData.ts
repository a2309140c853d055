import type { CircuitView, MapCorner } from '../../campaign/results.ts';
import { PHASES } from '../cells.ts';
import type { Results } from '../readResults.ts';
import { robotDays } from '../robotDays.ts';
import { summary } from '../summary.ts';
import { trimmed } from './csv.ts';
import type { DataTable } from './dataTable.ts';

/** What a corner cost by session and phase, medians with their range. */
export function lossesData(results: Results, circuit: CircuitView, corner: MapCorner): DataTable {
  return {
    columns: ['session', 'date', 'stage', 'phase', 'laps', 'median gap [s]', 'least [s]', 'greatest [s]'],
    rows: robotDays(results, circuit.id).flatMap(({ session, laps }) => {
      const ledgers = laps
        .map((l) => l.lap.ledger.filter((c) => c.corner === corner.name))
        .filter((cells) => cells.length > 0);
      if (ledgers.length === 0) return [];
      return [...PHASES, null].map((phase) => {
        const range = summary(
          ledgers.map((cells) =>
            cells.filter((c) => phase === null || c.phase === phase).reduce((sum, c) => sum + c.gapS, 0),
          ),
        );
        return [
          session.session,
          session.date,
          session.stage,
          phase ?? 'total',
          ledgers.length,
          trimmed(range?.median, 6),
          trimmed(range?.low, 6),
          trimmed(range?.high, 6),
        ];
      });
    }),
  };
}
