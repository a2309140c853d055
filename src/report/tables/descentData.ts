import type { Results } from '../readResults.ts';
import { standing } from '../standing.ts';
import { trimmed } from './csv.ts';
import type { DataTable } from './dataTable.ts';

/** The gap of every session of the robot that has one, by date. */
export function descentData(results: Results): DataTable {
  return {
    columns: [
      'session',
      'date',
      'stage',
      'circuit',
      'controller',
      'laps',
      'median gap [s]',
      'least [s]',
      'greatest [s]',
    ],
    rows: results.sessions
      .filter((s) => s.rider.kind === 'robot')
      .flatMap((s) => {
        const range = standing(results, s);
        if (!range) return [];
        return [
          [
            s.session,
            s.date,
            s.stage,
            s.circuit,
            s.controller,
            range.n,
            trimmed(range.median, 6),
            trimmed(range.low, 6),
            trimmed(range.high, 6),
          ],
        ];
      }),
  };
}
