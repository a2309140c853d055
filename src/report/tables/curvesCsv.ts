import type { LapCurves } from '../../campaign/results.ts';
import { kmh } from '../../units.ts';
import { type CsvValue, csv, trimmed } from './csv.ts';

const COLUMNS = [
  'station [m]',
  'time [s]',
  'gap [s]',
  'sigma [s]',
  'speed [km/h]',
  'reference speed [km/h]',
  'offset [m]',
  'reference offset [m]',
];

/** The full curves of a lap, a row a station; empty cells where nothing is known. */
export function curvesCsv(curves: LapCurves): string {
  const at = (values: readonly (number | null)[], i: number): number | null => values[i] ?? null;
  const speed = (value: number | null): number | null => trimmed(value === null ? null : kmh(value), 2);
  const rows = curves.timeS.map((time, i): CsvValue[] => [
    trimmed(i * curves.stepM, 3),
    trimmed(time, 4),
    trimmed(at(curves.gapS, i), 5),
    trimmed(at(curves.sigmaS, i), 5),
    speed(at(curves.speedMps, i)),
    speed(at(curves.referenceMps, i)),
    trimmed(at(curves.offsetM, i), 3),
    trimmed(at(curves.referenceOffsetM, i), 3),
  ]);
  return csv(COLUMNS, rows);
}
