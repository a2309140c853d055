import type { CsvValue } from './csv.ts';
import { csv } from './csv.ts';

/** Rows behind a table or a figure, with every digit that means something. */
export interface DataTable {
  /** What each value is, with its unit in square brackets: `gap [s]`. */
  readonly columns: readonly string[];
  readonly rows: readonly (readonly CsvValue[])[];
}

/**
 * The same rows in the two forms that each table of the site can be had in, as site path and text.
 *
 * JSON is `{"fields": [{"name": "gap", "unit": "s"}, …], "rows": [[0.12, …], …]}`: the names once, units as UCUM codes, a
 * line a row, null where a CSV cell is empty.
 *
 * @param path site path without its ending
 */
export function* tableFiles(path: string, table: DataTable): Generator<readonly [path: string, text: string]> {
  yield [`${path}.csv`, csv(table.columns, table.rows)];
  yield [`${path}.json`, tableJson(table)];
}

/** UCUM codes where they differ from what headings say. */
const UCUM: Readonly<Record<string, string>> = { g: '[g]' };

function tableJson({ columns, rows }: DataTable): string {
  const fields = columns.map((column) => {
    const [, name = column, unit] = /^(.*?)(?: \[([^\]]+)\])?$/.exec(column) ?? [];
    return unit === undefined ? { name } : { name, unit: UCUM[unit] ?? unit };
  });
  // What is not a number has no place in JSON and becomes null by itself.
  const lines = rows.map((row) => JSON.stringify(row));
  return `{"fields":${JSON.stringify(fields)},"rows":[${lines.length ? `\n${lines.join(',\n')}\n` : ''}]}\n`;
}
