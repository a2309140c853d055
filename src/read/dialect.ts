import { isUnit } from '../units.ts';
import { type Stamp, stamp } from './stamp.ts';

/** How one CSV file is written. Found by looking, overridden by the session file. */
export interface Dialect {
  readonly delimiter: ',' | ';' | '\t';
  readonly decimal: '.' | ',';
  readonly lineEnd: '\n' | '\r';
  /** Lines before the heading, the heading itself and a unit row; data starts behind them. */
  readonly headLines: number;
  /** Line of the heading, from 1. */
  readonly headingLine: number;
  /** As written; an empty one is `column 3`. Those that delimiters at the end of the line make are left out. */
  readonly headings: readonly string[];
  /** Units of a row below the headings; empty where there is no such row. */
  readonly unitRow: readonly string[];
  /** Unit that stands in the cells of a column themselves, `98.5 m`; null where the cells are plain. */
  readonly cellUnits: readonly (string | null)[];
  /** What most filled cells of a column are; null where the lines looked at do not show it. */
  readonly kinds: readonly (CellKind | null)[];
  /** False where the first line is already data and the headings are `column 1`, `column 2`, … */
  readonly named: boolean;
}

export type CellKind = 'number' | Stamp['kind'];

/** So many lines are looked at. */
const LINES = 120;
const DELIMITERS = [';', '\t', ','] as const;
const NUMBER = /^[+-]?(\d+([.,]\d*)?|[.,]\d+)([eE][+-]?\d+)?$/;
/** A number with its unit, or with the letter of a hemisphere, in the same cell. */
const MEASURED = /^([+-]?\d+(?:[.,]\d*)?)\s*([a-zA-Z%°µ/]+[a-zA-Z0-9/²^.]*)$/;
const COMMENT = /^(#|%|\/\/)/;
/** Words of loggers for a value that is not there. */
export const NO_VALUE = /^(nan|null|n\/a|na|none|-+)$/i;

const NEWLINE = 10;

/** As many of the first bytes of a file as hold the lines that {@link sniffDialect} looks at. */
export function sniffedBytes(head: Uint8Array): Uint8Array {
  let end = 0;
  for (let line = 0; line <= LINES; line++) {
    const next = head.indexOf(NEWLINE, end);
    // Without so many line ends of this kind the lines may end otherwise.
    if (next === -1) return head;
    end = next + 1;
  }
  return head.subarray(0, end);
}

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
export function sniffDialect(head: string): Dialect | null {
  const text = head.replace(/^\uFEFF/, '');
  const lineEnd = text.includes('\n') || !text.includes('\r') ? '\n' : '\r';
  const lines = text.split(lineEnd === '\n' ? /\r*\n/ : '\r', LINES);
  const best = bestDelimiter(lines);
  if (best === null) return null;

  const { delimiter } = best;
  const { width, used } = widthOf(best.rows);
  const rows = lines.map((line) => splitLine(line.replace(/^#\s*/, ''), delimiter));
  const comment = lines.map((line) => COMMENT.test(line));
  const table = [...rows.keys()].filter((i) => {
    const filledLength = withoutTail(rows[i]!).length;
    return filledLength > 0 && (rows[i]!.length === width || filledLength === width || filledLength === used);
  });

  const body = table.filter((i) => !comment[i]).map((i) => rows[i]!);
  const numeric = numericColumns(body, used);
  const clean = (i: number): boolean => numeric.every((is, c) => !is || isValue(rows[i]![c] ?? ''));
  const first = table.find((i) => !comment[i] && clean(i));
  if (first === undefined) return null;

  const above = table.filter((i) => i < first);
  let headLines = first;
  // A first row with a cell that cannot be read is still data, as long as a heading remains.
  const units = (i: number): boolean => areUnits(rows[i]!) && !hasOpenQuote(lines[i]!);
  const dirty = (i: number): boolean => !comment[i] && !units(i) && mostlyNumbers(rows[i]!);
  while (above.length > 1 && dirty(above.at(-1)!)) headLines = above.pop()!;
  let heading = above.pop();
  let unitRow: string[] = [];
  const over = above.at(-1);
  if (heading !== undefined && over !== undefined && comment[heading] === comment[over] && units(heading)) {
    unitRow = rows[heading]!.map(bareUnit);
    heading = over;
  }
  const named = heading === undefined ? [] : withoutTail(rows[heading]!);
  const headings = Array.from({ length: Math.max(used, named.length) }, (_, i) => named[i] || `column ${i + 1}`);
  const data = table.filter((i) => i >= headLines).map((i) => rows[i]!);
  const columns = headings.map((_, c) => filled(data.map((cells) => cells[c] ?? '')));
  const plain = columns.map((cells) => cells.length > 0 && cells.every((cell) => NUMBER.test(cell)));
  const decimal = hasDecimalCommas(data.flat()) ? ',' : '.';
  const headingLine = (heading ?? 0) + 1;
  return {
    delimiter,
    decimal,
    lineEnd,
    headLines,
    headingLine,
    headings,
    unitRow,
    cellUnits: columns.map((cells, c) => (plain[c] ? null : commonest(cells, unitIn))),
    kinds: columns.map((cells, c) => (plain[c] ? 'number' : commonest(cells, kindOf))),
    named: heading !== undefined,
  };
}

/** Cells of one line, quotes and blanks around them removed. */
export function splitLine(line: string, delimiter: string): string[] {
  if (!line.includes('"')) return line.split(delimiter).map((cell) => cell.trim());
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

const isNumber = (cell: string): boolean => NUMBER.test(cell) || MEASURED.test(cell) || stamp(cell) !== null;
const isValue = (cell: string): boolean => cell === '' || isNumber(cell) || NO_VALUE.test(cell);
const filled = (cells: readonly string[]): string[] => cells.filter((cell) => cell !== '');

function mostlyNumbers(cells: readonly string[]): boolean {
  const all = filled(cells);
  return all.length > 0 && all.filter(isNumber).length * 2 >= all.length;
}

function bestDelimiter(lines: readonly string[]): { delimiter: Dialect['delimiter']; rows: string[][] } | null {
  const split = DELIMITERS.map((delimiter) => ({ delimiter, rows: rowsOf(lines, delimiter) }));
  const best = split.reduce((most, next) => (next.rows.length > most.rows.length ? next : most));
  return best.rows.length > 0 ? best : null;
}

/** The lines that are rows of numbers: two cells or more, at least half of the filled ones numbers. */
function rowsOf(lines: readonly string[], delimiter: string): string[][] {
  return lines
    .filter((line) => line.includes(delimiter) && !COMMENT.test(line))
    .map((line) => splitLine(line, delimiter))
    .filter(mostlyNumbers);
}

/** Commonest number of cells of the rows, and how many of them are ever filled: delimiters at the end make no column. */
function widthOf(rows: readonly string[][]): { width: number; used: number } {
  const counts = new Map<number, number>();
  for (const { length } of rows) counts.set(length, (counts.get(length) ?? 0) + 1);
  const [width] = [...counts].reduce((best, next) =>
    next[1] > best[1] || (next[1] === best[1] && next[0] > best[0]) ? next : best,
  );
  return { width, used: Math.max(...rows.filter((row) => row.length === width).map((row) => withoutTail(row).length)) };
}

/** Columns in which most filled cells of the later half of the table are numbers; a heading stands in the first half. */
function numericColumns(table: readonly string[][], width: number): boolean[] {
  const later = table.slice(Math.floor(table.length / 2));
  return Array.from({ length: width }, (_, c) => {
    const cells = filled(later.map((row) => row[c] ?? ''));
    return cells.length > 0 && cells.filter(isValue).length * 2 >= cells.length && cells.some(isNumber);
  });
}

/** Of the cells that are not the unit 1 at least half are units. */
function areUnits(cells: readonly string[]): boolean {
  const telling = filled(cells).filter((cell) => cell !== '1');
  const isOne = (cell: string): boolean =>
    /^[[(].*[\])]$/.test(cell) || NO_VALUE.test(cell) || (!isNumber(cell) && isUnit(cell));
  return telling.length > 0 && telling.filter(isOne).length * 2 >= telling.length;
}

/** A cell goes on in the next line, as units never do. */
const hasOpenQuote = (line: string): boolean => line.split('"').length % 2 === 0;

const bareUnit = (cell: string): string => cell.replace(/^[[(]|[\])]$/g, '');

const unitIn = (cell: string): string | null => (NUMBER.test(cell) ? null : (MEASURED.exec(cell)?.[2] ?? null));
const kindOf = (cell: string): CellKind | null =>
  NUMBER.test(cell) ? 'number' : (stamp(cell)?.kind ?? (MEASURED.test(cell) ? 'number' : null));

/** What more than half of the cells are, or null. */
function commonest<T>(cells: readonly string[], what: (cell: string) => T | null): T | null {
  const counts = new Map<T, number>();
  for (const cell of cells) {
    const is = what(cell);
    if (is !== null) counts.set(is, (counts.get(is) ?? 0) + 1);
  }
  for (const [is, count] of counts) if (count * 2 > cells.length) return is;
  return null;
}

function hasDecimalCommas(cells: readonly string[]): boolean {
  // Points are asked for first: where there are any, one of the first cells has one.
  return !cells.some((c) => /^[+-]?\d+\.\d+$/.test(c)) && cells.some((c) => /^[+-]?\d+,\d+$/.test(c));
}

function withoutTail(cells: readonly string[]): string[] {
  let end = cells.length;
  while (end > 0 && cells[end - 1] === '') end--;
  return cells.slice(0, end);
}
