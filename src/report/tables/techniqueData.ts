import { degrees, g, kmh } from '../../units.ts';
import type { LapOf } from '../readResults.ts';
import { type CsvValue, trimmed } from './csv.ts';
import type { DataTable } from './dataTable.ts';
import { LAP_COLUMNS, lapValues } from './lapColumns.ts';

const COLUMNS = [
  ...LAP_COLUMNS,
  'corner',
  'braking rule',
  'pick-up rule',
  'brake onset [m]',
  'brake release [m]',
  'time to peak [s]',
  'peak deceleration [g]',
  'mean deceleration [g]',
  'brake-lean overlap [s]',
  'slowest at [m]',
  'slowest [km/h]',
  'max lean [deg]',
  'max roll rate [deg/s]',
  'pick-up [m]',
  'full drive [m]',
  'coasting [s]',
  'exit speed [km/h]',
  'shifts',
];

const through = (value: number | null, change: (v: number) => number, digits: number): number | null =>
  value === null ? null : trimmed(change(value), digits);

/** Technique of some laps, a row a corner; `corner` keeps only that one. */
export function techniqueData(laps: readonly LapOf[], corner?: string): DataTable {
  const rows = laps.flatMap((of) =>
    of.lap.technique
      .filter((t) => corner === undefined || t.corner === corner)
      .map((t): CsvValue[] => [
        ...lapValues(of),
        t.corner,
        t.rule.braking,
        t.rule.pickUp,
        trimmed(t.brakeOnsetM, 2),
        trimmed(t.brakeReleaseM, 2),
        trimmed(t.timeToPeakS, 3),
        through(t.peakDecelerationMps2, g, 3),
        through(t.meanDecelerationMps2, g, 3),
        trimmed(t.brakeLeanOverlapS, 3),
        trimmed(t.slowestM, 2),
        through(t.slowestMps, kmh, 2),
        through(t.maxLeanRad, degrees, 1),
        through(t.maxRollRateRadps, degrees, 1),
        trimmed(t.pickUpM, 2),
        trimmed(t.fullDriveM, 2),
        trimmed(t.coastingS, 3),
        through(t.exitMps, kmh, 2),
        t.shifts.map((s) => `${s.from}>${s.to} at ${s.stationM.toFixed(1)} m`).join('; ') || null,
      ]),
  );
  return { columns: COLUMNS, rows };
}
