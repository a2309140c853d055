import Papa from 'papaparse';

/** A value of a CSV cell: numbers stay numbers, a missing one is an empty cell. */
export type CsvValue = string | number | boolean | null;

/**
 * A table as CSV (RFC 4180, line feeds, one heading line). Text that a spreadsheet would take for a formula is
 * prefixed with an apostrophe; numbers are not touched, so −3 stays −3.
 *
 * @param columns headings, with the unit in square brackets
 */
export function csv(columns: readonly string[], rows: readonly (readonly CsvValue[])[]): string {
  const values = rows.map((row) =>
    row.map((value) => (typeof value === 'number' && !Number.isFinite(value) ? null : value)),
  );
  const unparsed = (data: CsvValue[][]): string => Papa.unparse(data, { escapeFormulae: true, newline: '\n' });
  // Numbers need no quotes and no care.
  const lines = values.map((row) =>
    row.every((value) => value === null || typeof value === 'number') ? row.join(',') : unparsed([row]),
  );
  return `${[unparsed([[...columns]]), ...lines].join('\n')}\n`;
}

/** A number without digits that mean nothing: at most `digits` after the point. */
export const trimmed = (value: number | null | undefined, digits: number): number | null =>
  value === null || value === undefined || !Number.isFinite(value)
    ? null
    : Math.round(value * 10 ** digits) / 10 ** digits + 0;
