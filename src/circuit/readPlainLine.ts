import type { Problem, ProblemCode } from '../problem.ts';
import { sniffDialect, splitLine } from '../read/dialect.ts';
import type { Plane } from './plane.ts';
import { planeAround } from './planeAround.ts';

/** A line of points out of a table. */
export interface PlainLine {
  /** Null where the table is in metres of its own. */
  readonly plane: Plane | null;
  readonly eastM: Float64Array;
  readonly northM: Float64Array;
  /** Distance from each point to the edges of the course, where the table has both. */
  readonly widths: { readonly leftM: Float64Array; readonly rightM: Float64Array } | null;
}

/** Names of columns, without their unit. */
const NAMES = {
  x: /^(x|east(ing)?)$/,
  y: /^(y|north(ing)?)$/,
  lat: /^lat(itude)?$/,
  lon: /^(lon|lng|long|longitude)$/,
  left: /left/,
  right: /right/,
} as const;

/**
 * Reads a line of points from CSV: columns x and y (or east and north) in metres, or lat and lon in degrees of WGS 84,
 * and, where it has them, widths to the right and left. Without a heading the first two columns are x and y.
 *
 * @param plane on which places in degrees are laid; by default the one in the middle of them
 * @returns null with a problem of severity `stop` where there is no line to be read
 */
export function readPlainLine(
  text: string,
  file: string,
  plane: Plane | null = null,
): { line: PlainLine | null; problems: Problem[] } {
  const problems: Problem[] = [];
  const fail = (code: ProblemCode, found: string, expected: string, remedy: string, line?: number) => {
    const place = line === undefined ? { file } : { file, line };
    problems.push({ code, severity: 'stop', place, found, expected, remedy });
    return { line: null, problems };
  };
  const expected = 'columns x and y in metres, or lat and lon in degrees';
  const dialect = sniffDialect(`${text}\n`);
  if (!dialect) return fail('CIRCUIT_INVALID', 'no table of numbers', expected, 'give a CSV file of points');

  const names = dialect.headings.map((heading) =>
    heading
      .toLowerCase()
      .replace(/\s*[[(].*$|_m$|_deg$/g, '')
      .trim(),
  );
  const find = (pattern: RegExp): number => (dialect.named ? names.findIndex((name) => pattern.test(name)) : -1);
  const degrees = find(NAMES.lat) >= 0 && find(NAMES.lon) >= 0;
  const [x, y] = dialect.named
    ? degrees
      ? [find(NAMES.lon), find(NAMES.lat)]
      : [find(NAMES.x), find(NAMES.y)]
    : [0, 1];
  if (x === -1 || y === -1) {
    return fail('COLUMN_MISSING', `columns ${dialect.headings.join(', ')}`, expected, 'name the columns so');
  }
  const wanted = [x!, y!];
  const widthColumns = [find(NAMES.left), find(NAMES.right)];
  if (widthColumns.every((column) => column >= 0)) wanted.push(...widthColumns);

  const columns: number[][] = wanted.map(() => []);
  const lines = text.replace(/^\uFEFF/, '').split(/\r\n|\n|\r/);
  for (let i = dialect.headLines; i < lines.length; i++) {
    if (lines[i]!.trim() === '' || lines[i]!.startsWith('#')) continue;
    const cells = splitLine(lines[i]!, dialect.delimiter);
    for (const [k, column] of wanted.entries()) {
      const cell = cells[column] ?? '';
      const value = cell === '' ? Number.NaN : Number(dialect.decimal === ',' ? cell.replace(',', '.') : cell);
      if (!Number.isFinite(value)) {
        const where = `"${cell}" in column ${dialect.headings[column]}`;
        return fail('CELL_UNREADABLE', where, 'a number', 'mend the cell, or take the line out', i + 1);
      }
      columns[k]!.push(value);
    }
  }
  const [first, second, leftM, rightM] = columns.map((column) => Float64Array.from(column));
  if (!first || !second || first.length < 4) {
    return fail('CIRCUIT_INVALID', `${first?.length ?? 0} points`, 'at least 4 points', 'give more points');
  }
  const widths = leftM && rightM ? { leftM, rightM } : null;
  if (!degrees) return { line: { plane: null, eastM: first, northM: second, widths }, problems };
  const own = plane ?? planeAround(second, first);
  return { line: { plane: own, ...own.eastNorth(second, first), widths }, problems };
}
