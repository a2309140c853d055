import { isUnit } from '../units.ts';
import { stamp } from './stamp.ts';

/** How one CSV file is written. Found by looking, overridden by the session file. */
export interface Dialect {
  readonly delimiter: ',' | ';' | '\t';
  readonly decimal: '.' | ',';
  readonly lineEnd: '\n' | '\r';
  /** Lines before the heading, the heading itself and a unit row; data starts behind them. */
  readonly headLines: number;
  /** As written; without the empty ones that delimiters at the end of the line make. */
  readonly headings: readonly string[];
  /** Units of a row below the headings; empty where there is no such row. */
  readonly unitRow: readonly string[];
  /** False where the first line is already data and the headings are `column 1`, `column 2`, … */
  readonly named: boolean;
}

/** So many lines are looked at. */
const LINES = 120;
const DELIMITERS = [';', '\t', ','] as const;
const NUMBER = /^[+-]?(\d+([.,]\d*)?|[.,]\d+)([eE][+-]?\d+)?$/;
/** A number with its unit, or with the letter of a hemisphere, in the same cell. */
const MEASURED = /^[+-]?\d+([.,]\d*)?\s*[a-zA-Z%°µ/]+[a-zA-Z0-9/²^.]*$/;
const COMMENT = /^(#|%|\/\/)/;
/** Words of loggers for a value that is not there. */
export const NO_VALUE = /^(nan|null|n\/a|na|none|-+)$/i;

/**
 * Looks at the start of a file and says how it is written.
 *
 * The delimiter is the one that makes most lines rows of numbers; between equals the semicolon and the tab win over the
 * comma, because a file with decimal commas is split by the comma as well. The heading is the nearest line above the
 * numbers that has as many cells; a line between them that holds units is the unit row.
 *
 * @param head the first lines of the file, decoded
 * @returns null where no delimiter makes rows of at least two cells with numbers in them
 */
export function sniffDialect(head: string, asked: { decimal?: '.' | ',' | undefined } = {}): Dialect | null {
  const text = head.replace(/^\uFEFF/, '');
  const lines = text.split(/\r\n|\n|\r/, LINES);
  const lineEnd = text.includes('\n') || !text.includes('\r') ? '\n' : '\r';
  const delimiter = bestDelimiter(lines);
  if (delimiter === null) return null;

  const width = commonestWidth(lines, delimiter);
  const rows = lines.map((line) => cellsOf(line.replace(/^#\s*/, ''), delimiter));
  const comment = lines.map((line) => COMMENT.test(line));
  const even = rows.keys().filter((i) => rows[i]!.length === width || withoutTail(rows[i]!).length === width);
  const table = [...even.filter((i) => rows[i]!.some((cell) => cell !== ''))];

  const numeric = numericColumns(table.filter((i) => !comment[i]).map((i) => rows[i]!), width);
  const clean = (i: number): boolean => numeric.every((is, c) => !is || isValue(rows[i]![c] ?? ''));
  const first = table.find((i) => !comment[i] && clean(i));
  if (first === undefined) return null;

  const above = table.filter((i) => i < first);
  let headLines = first;
  // A first row with a cell that cannot be read is still data, as long as a heading remains.
  while (above.length > 1 && !comment[above.at(-1)!] && mostlyNumbers(rows[above.at(-1)!]!)) headLines = above.pop()!;
  let heading = above.pop();
  let unitRow: string[] = [];
  const over = above.at(-1);
  if (heading !== undefined && over !== undefined && comment[heading] === comment[over] && areUnits(rows[heading]!)) {
    unitRow = rows[heading]!.map(bareUnit);
    heading = over;
  }
  const headings = heading === undefined ? Array.from({ length: width }, (_, i) => `column ${i + 1}`) : withoutTail(rows[heading]!);
  const decimal = asked.decimal ?? (hasDecimalCommas(table.filter((i) => i >= headLines).flatMap((i) => rows[i]!)) ? ',' : '.');
  return { delimiter, decimal, lineEnd, headLines, headings, unitRow, named: heading !== undefined };
}

/** Cells of one line, quotes and blanks around them removed. */
export function splitLine(line: string, delimiter: string): string[] {
  const cells: string[] = [];
  let cell = '';
  let quoted = false;
  for (let i = 0; i < line.length; i++) {
    const c = line[i];
    if (quoted) {
      if (c !== '"') cell += c;
      else if (line[i + 1] === '"') cell += line[++i];
      else quoted = false;
    } else if (c === '"' && cell.trim() === '') {
      quoted = true;
      cell = '';
    } else if (c === delimiter) {
      cells.push(cell.trim());
      cell = '';
    } else cell += c;
  }
  cells.push(cell.trim());
  return cells;
}

const cellsOf = splitLine;

const isNumber = (cell: string): boolean => NUMBER.test(cell) || MEASURED.test(cell) || stamp(cell) !== null;
const isValue = (cell: string): boolean => cell === '' || isNumber(cell) || NO_VALUE.test(cell);
const filled = (cells: readonly string[]): string[] => cells.filter((cell) => cell !== '');

function mostlyNumbers(cells: readonly string[]): boolean {
  const all = filled(cells);
  const numbers = all.filter(isNumber);
  // A row of units may be full of the unit 1.
  return numbers.some((cell) => cell !== '1') && numbers.length * 2 >= all.length;
}

function bestDelimiter(lines: readonly string[]): Dialect['delimiter'] | null {
  let best: Dialect['delimiter'] | null = null;
  let most = 0;
  for (const mark of DELIMITERS) {
    const rows = rowsOf(lines, mark).length;
    if (rows > most) [best, most] = [mark, rows];
  }
  return best;
}

/** The lines that are rows of numbers: two cells or more, at least half of the filled ones numbers. */
function rowsOf(lines: readonly string[], delimiter: string): string[][] {
  return lines
    .filter((line) => line.includes(delimiter) && !COMMENT.test(line))
    .map((line) => cellsOf(line, delimiter))
    .filter(mostlyNumbers);
}

/** Commonest number of cells of the rows; delimiters at the end of every row make no column. */
function commonestWidth(lines: readonly string[], delimiter: string): number {
  const rows = rowsOf(lines, delimiter);
  const counts = new Map<number, number>();
  for (const { length } of rows) counts.set(length, (counts.get(length) ?? 0) + 1);
  let width = 0;
  for (const [n, count] of counts) if (count > (counts.get(width) ?? 0) || (count === counts.get(width) && n > width)) width = n;
  const headed = lines.some((line) => !mostlyNumbers(cellsOf(line, delimiter)) && withoutTail(cellsOf(line, delimiter)).length === width);
  const used = Math.max(...rows.filter((row) => row.length === width).map((row) => withoutTail(row).length));
  return headed ? width : used;
}

/** Columns in which most filled cells of the later half of the table are numbers; a heading stands in the first half. */
function numericColumns(table: readonly string[][], width: number): boolean[] {
  const later = table.slice(Math.floor(table.length / 2));
  return Array.from({ length: width }, (_, c) => {
    const cells = filled(later.map((row) => row[c] ?? ''));
    return cells.length > 0 && cells.filter(isValue).length * 2 >= cells.length && cells.some(isNumber);
  });
}

function areUnits(cells: readonly string[]): boolean {
  const all = filled(cells);
  return all.filter((cell) => /^[[(].*[\])]$/.test(cell) || NO_VALUE.test(cell) || isUnit(cell)).length * 2 >= all.length;
}

const bareUnit = (cell: string): string => cell.replace(/^[[(]|[\])]$/g, '');

function hasDecimalCommas(cells: readonly string[]): boolean {
  return cells.some((c) => /^[+-]?\d+,\d+$/.test(c)) && !cells.some((c) => /^[+-]?\d+\.\d+$/.test(c));
}

function withoutTail(cells: readonly string[]): string[] {
  let end = cells.length;
  while (end > 1 && cells[end - 1] === '') end--;
  return cells.slice(0, end);
}
