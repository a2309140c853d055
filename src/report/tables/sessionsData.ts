import type { Results } from '../readResults.ts';
import { standing } from '../standing.ts';
import { trimmed } from './csv.ts';
import type { DataTable } from './dataTable.ts';

/** Every session, a row each, by date. Gaps are those of the rider that the session is about. */
export function sessionsData(results: Results): DataTable {
  return {
    columns: [
      'session',
      'date',
      'stage',
      'circuit',
      'rider',
      'controller',
      'runs',
      'laps',
      'counted',
      'median [s]',
      'best [s]',
      'median gap [s]',
      'least gap [s]',
      'greatest gap [s]',
      'reference',
    ],
    rows: results.sessions.map((s) => {
      const range = s.rider.kind === 'robot' ? standing(results, s) : null;
      return [
        s.session,
        s.date,
        s.stage,
        s.circuit,
        s.rider.name,
        s.controller,
        s.runs.length,
        results.laps(s).length,
        s.summary?.laps ?? 0,
        trimmed(s.summary?.medianS, 4),
        trimmed(s.summary?.bestS, 4),
        trimmed(range?.median, 6),
        trimmed(range?.low, 6),
        trimmed(range?.high, 6),
        s.reference && `${s.reference.session}, ${s.reference.run}, lap ${s.reference.lap}`,
      ];
    }),
  };
}
