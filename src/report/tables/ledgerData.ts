import type { LapOf } from '../readResults.ts';
import { type CsvValue, trimmed } from './csv.ts';
import type { DataTable } from './dataTable.ts';
import { LAP_COLUMNS, lapValues } from './lapColumns.ts';

const COLUMNS = [
  ...LAP_COLUMNS,
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
];

/** Every cell of the ledgers of some laps, a row a cell, unrounded to the microsecond. */
export function ledgerData(laps: readonly LapOf[]): DataTable {
  const rows = laps.flatMap((of) =>
    of.lap.ledger.map((c): CsvValue[] => [
      ...lapValues(of),
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
    ]),
  );
  return { columns: COLUMNS, rows };
}
