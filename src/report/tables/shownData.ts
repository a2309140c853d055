import type { Table } from '../report.ts';
import { MISSING } from '../words.ts';
import type { CsvValue } from './csv.ts';
import type { DataTable } from './dataTable.ts';

/** The rows of a table as they are shown, numbers as numbers; for tables that have no finer data behind them. */
export function shownData({ columns, rows, foot = [] }: Pick<Table, 'columns' | 'rows' | 'foot'>): DataTable {
  return {
    columns: columns.map(({ title, unit }) => (unit === undefined ? title : `${title} [${unit}]`)),
    rows: [...rows, ...foot].map((row) =>
      row.map(({ text }, i): CsvValue => {
        if (text === MISSING || text === '') return null;
        const plain = Number(text.replace('−', '-').replace(/[\u202f+]/g, ''));
        return columns[i]?.kind === 'number' && Number.isFinite(plain) ? plain : text;
      }),
    ),
  };
}
