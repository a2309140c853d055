import type { LapCurves } from '../../campaign/results.ts';
import { kmh } from '../../units.ts';
import { type CsvValue, trimmed } from './csv.ts';
import type { DataTable } from './dataTable.ts';

/** Distance of the rows: a machine at 250 km/h needs 72 ms for it, and the logs themselves have every digit. */
const ROW_STEP_M = 5;

const COLUMNS = [
  'station [m]',
  'time [s]',
  'gap [s]',
  'sigma [s]',
  'speed [km/h]',
  'reference speed [km/h]',
  'offset [m]',
];

/** The curves of a lap, a row every five metres and one for its end; empty where nothing is known. */
export function curvesData(curves: LapCurves): DataTable {
  const at = (values: readonly (number | null)[], i: number): number | null => values[i] ?? null;
  const speed = (value: number | null): number | null => trimmed(value === null ? null : kmh(value), 1);
  const stride = Math.max(1, Math.round(ROW_STEP_M / curves.stepM));
  const end = curves.timeS.findLastIndex((time) => time !== null);
  const rows = curves.timeS.flatMap((time, i): CsvValue[][] =>
    i % stride === 0 || i === end
      ? [
          [
            trimmed(i * curves.stepM, 2),
            trimmed(time, 3),
            trimmed(at(curves.gapS, i), 4),
            trimmed(at(curves.sigmaS, i), 4),
            speed(at(curves.speedMps, i)),
            speed(at(curves.referenceMps, i)),
            trimmed(at(curves.offsetM, i), 2),
          ],
        ]
      : [],
  );
  return { columns: COLUMNS, rows };
}
