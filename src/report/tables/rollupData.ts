import type { CircuitView } from '../../campaign/results.ts';
import type { Results } from '../readResults.ts';
import { type CsvValue, trimmed } from './csv.ts';
import type { DataTable } from './dataTable.ts';
import type { Rollup, Rollups } from './rollups.ts';

const STATISTICS = ['laps', 'mean gap [s]', 'standard deviation [s]', 'least [s]', 'greatest [s]'];
const statistics = (r: Rollup): CsvValue[] => [
  r.laps,
  trimmed(r.meanS, 6),
  trimmed(r.deviationS, 6),
  trimmed(r.leastS, 6),
  trimmed(r.greatestS, 6),
];

/** Session by corner on one circuit: mean loss of the counted laps, and over the lap. */
export function matrixData(results: Results, rolled: Rollups, circuit: CircuitView): DataTable {
  const of = new Map(rolled.corners.map((r) => [`${r.session}\n${r.corner}`, r]));
  const sessions = new Map(rolled.sessions.map((r) => [r.session, r]));
  return {
    columns: [
      'session',
      'date',
      'stage',
      'controller',
      'laps',
      ...circuit.corners.map((c) => `${/^\d/.test(c.name) ? `corner ${c.name}` : c.name} [s]`),
      'mean gap [s]',
    ],
    rows: results.sessions
      .filter((s) => s.circuit === circuit.id)
      .flatMap((s) => {
        const lap = sessions.get(s.session);
        if (!lap) return [];
        return [
          [
            s.session,
            s.date,
            s.stage,
            s.controller,
            lap.laps,
            ...circuit.corners.map((c) => trimmed(of.get(`${s.session}\n${c.name}`)?.meanS, 6)),
            trimmed(lap.meanS, 6),
          ],
        ];
      }),
  };
}

/** Session by corner by phase, over the whole campaign. */
export function phasesData(results: Results, rolled: Rollups): DataTable {
  return {
    columns: ['session', 'date', 'stage', 'circuit', 'controller', 'corner', 'phase', ...STATISTICS],
    rows: rolled.phases.map((r) => {
      const s = results.session(r.session)!;
      return [s.session, s.date, s.stage, s.circuit, s.controller, r.corner, r.phase, ...statistics(r)];
    }),
  };
}

/** Stage by configuration: the lap and its three phases. */
export function configurationsData(rolled: Rollups): DataTable {
  return {
    columns: ['circuit', 'stage', 'controller', 'configuration hash', 'sessions', 'phase', ...STATISTICS],
    rows: rolled.configurations.flatMap((c) =>
      [['lap', c.total] as const, ...Object.entries(c.phases)].flatMap(([phase, r]) =>
        r
          ? [
              [
                c.circuit,
                c.stage,
                c.controller || null,
                c.configurationHash,
                c.sessions.join('; '),
                phase,
                ...statistics(r),
              ],
            ]
          : [],
      ),
    ),
  };
}
