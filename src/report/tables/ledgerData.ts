import { cellWords } from '../cells.ts';
import type { LapOf } from '../readResults.ts';
import { type CsvValue, trimmed } from './csv.ts';
import type { DataTable } from './dataTable.ts';

const COLUMNS = [
  'session',
  'date',
  'stage',
  'controller',
  'run',
  'lap',
  'counted',
  'corner',
  'cell',
  'phase',
  'part',
  'from [m]',
  'to [m]',
  'reference [s]',
  'gap [s]',
  'sigma [s]',
  'plan [s]',
  'execution [s]',
  'words',
];

/** Every cell of the ledgers of some laps, a row a cell, unrounded to the microsecond. */
export function ledgerData(laps: readonly LapOf[]): DataTable {
  const rows = laps.flatMap(({ session, run, lap }) =>
    lap.ledger.map((c): CsvValue[] => [
      session.session,
      session.date,
      session.stage,
      session.controller,
      run.file,
      lap.lap,
      lap.counted,
      c.corner,
      c.cell,
      c.phase,
      c.part ?? null,
      trimmed(c.fromM, 3),
      trimmed(c.toM, 3),
      trimmed(c.referenceS, 6),
      trimmed(c.gapS, 6),
      trimmed(c.sigmaS, 6),
      trimmed(c.planS, 6),
      trimmed(c.executionS, 6),
      cellWords(c),
    ]),
  );
  return { columns: COLUMNS, rows };
}
