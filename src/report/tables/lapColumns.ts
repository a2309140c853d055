import type { LapOf } from '../readResults.ts';
import type { CsvValue } from './csv.ts';
import type { DataTable } from './dataTable.ts';

/** Which lap a row is of, in tables over several laps. */
export const LAP_COLUMNS = ['session', 'date', 'stage', 'controller', 'run', 'lap', 'counted'] as const;

/** The values under {@link LAP_COLUMNS}. */
export const lapValues = ({ session, run, lap }: LapOf): CsvValue[] => [
  session.session,
  session.date,
  session.stage,
  session.controller,
  run.file,
  lap.lap,
  lap.counted,
];

/** A table that begins with {@link LAP_COLUMNS} as it stands beside its lap's page, where they would say the same in each row. */
export const ofOneLap = ({ columns, rows }: DataTable): DataTable => ({
  columns: columns.slice(LAP_COLUMNS.length),
  rows: rows.map((row) => row.slice(LAP_COLUMNS.length)),
});
