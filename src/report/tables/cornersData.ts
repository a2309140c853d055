import type { CircuitView } from '../../campaign/results.ts';
import { cornersNow } from '../cornersNow.ts';
import type { Results } from '../readResults.ts';
import { trimmed } from './csv.ts';
import type { DataTable } from './dataTable.ts';

/** The corners of a circuit with the limits of their phases and what each costs now. */
export function cornersData(results: Results, circuit: CircuitView): DataTable {
  const { session, of } = cornersNow(results, circuit);
  return {
    columns: [
      'corner',
      'direction',
      'radius [m]',
      'entry [m]',
      'exit [m]',
      'a [m]',
      'b [m]',
      'r [m]',
      'p [m]',
      'reference brakes',
      'session',
      'laps',
      'median gap [s]',
      'least [s]',
      'greatest [s]',
    ],
    rows: circuit.corners.map((c) => {
      const range = of(c.name);
      return [
        c.name,
        c.direction,
        trimmed(c.radiusM, 1),
        trimmed(c.entryM, 2),
        trimmed(c.exitM, 2),
        trimmed(c.a, 2),
        trimmed(c.b, 2),
        trimmed(c.r, 2),
        trimmed(c.p, 2),
        c.brakes,
        session?.session ?? null,
        range?.n ?? 0,
        trimmed(range?.median, 6),
        trimmed(range?.low, 6),
        trimmed(range?.high, 6),
      ];
    }),
  };
}
