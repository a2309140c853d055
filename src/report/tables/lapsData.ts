import type { LapOf } from '../readResults.ts';
import { type CsvValue, trimmed } from './csv.ts';
import type { DataTable } from './dataTable.ts';

const COLUMNS = [
  'session',
  'date',
  'stage',
  'circuit',
  'rider',
  'controller',
  'run',
  'run sha256',
  'configuration',
  'lap',
  'kind',
  'start [s]',
  'time [s]',
  'covered [m]',
  'valid',
  'counted',
  'capped',
  'reasons',
  'official [s]',
  'gap [s]',
  'sigma [s]',
  'plan [s]',
  'execution [s]',
];

/** Some laps, a row a lap, with validity and its reasons. */
export function lapsData(laps: readonly LapOf[]): DataTable {
  const rows = laps.map(({ session, run, lap }): CsvValue[] => [
    session.session,
    session.date,
    session.stage,
    session.circuit,
    session.rider.key,
    session.controller,
    run.file,
    run.sha256,
    run.configurationHash,
    lap.lap,
    lap.kind,
    trimmed(lap.startS, 3),
    trimmed(lap.timeS, 4),
    trimmed(lap.coveredM, 1),
    lap.valid,
    lap.counted,
    lap.capped,
    lap.reasons.map((r) => `${r.code}: ${r.text}`).join('; ') || null,
    trimmed(lap.officialS, 3),
    trimmed(lap.gapS, 6),
    trimmed(lap.sigmaS, 6),
    trimmed(lap.planS, 6),
    trimmed(lap.executionS, 6),
  ]);
  return { columns: COLUMNS, rows };
}
