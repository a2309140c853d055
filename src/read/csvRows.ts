import Papa from 'papaparse';
import { ColumnStore } from './columnStore.ts';
import { CsvFaults } from './csvFaults.ts';
import type { CellKind, Dialect } from './dialect.ts';
import { LIMITS, tooLarge } from './limits.ts';
import type { LineState, ManyLines } from './lines.ts';
import { PlainRows } from './plainRows.ts';
import { type Stamp, stamp } from './stamp.ts';
import type { Cut } from './table.ts';

const HASH = 35;
const PERCENT = 37;
const SLASH = 47;
const BLANK = 32;
const RETURN = 13;
const PLUS = 43;
const MINUS = 45;
const POINT = 46;
const ZERO = 48;
const NINE = 57;
const UPPER_E = 69;
const LOWER_E = 101;
const NOT_ASCII = /[\u0080-\uffff]/;
/** Powers of ten that are exact in a double: a mantissa below 2^53 times or over one of them is correctly rounded. */
const TEN = Float64Array.from({ length: 23 }, (_, i) => 10 ** i);
const NUMBER = /^[+-]?(\d+\.?\d*|\.\d+)([eE][+-]?\d+)?$/;
/** A row left out, because it is the heading again. */
const NOT_A_ROW = -1;

/** Turns lines of bytes into columns of numbers; what it cannot read it counts, with the first place. */
export class CsvRows {
  readonly #file: string;
  readonly #dialect: Dialect;
  readonly #delimiter: number;
  readonly #decimal: number;
  readonly #lineEnd: number;
  readonly #width: number;
  readonly #lastWanted: number;
  readonly #store: ColumnStore;
  readonly #plain: PlainRows | null;
  /** For each column that is wanted, its values in the rows that are taken together. */
  readonly #values: readonly Float64Array[];
  /** Columns of stamps, and the place of each among the wanted ones. */
  readonly #texts: readonly { readonly column: number; readonly slot: number }[];
  readonly #decoder = new TextDecoder('utf-8');
  readonly faults: CsvFaults;
  readonly #kinds: (CellKind | null)[];
  cut: Cut | null = null;
  /** Pairs (row, line) at which the line of a row is not the one behind that of the row before. */
  readonly #jumps: number[] = [];
  #expectedLine = -1;
  #line = 0;
  /** The latest row, for what its last cell looked like. */
  #latest: { data: Buffer; start: number; end: number } | null = null;

  constructor(dialect: Dialect, headings: readonly string[], wanted: readonly boolean[], file: string) {
    this.#file = file;
    this.#dialect = dialect;
    this.#delimiter = dialect.delimiter.charCodeAt(0);
    this.#decimal = dialect.decimal.charCodeAt(0);
    this.#lineEnd = dialect.lineEnd.charCodeAt(0);
    this.#width = headings.length;
    this.#kinds = [...dialect.kinds];
    this.#lastWanted = wanted.lastIndexOf(true);
    this.#store = new ColumnStore(wanted, file);
    const columns = wanted.flatMap((is, column) => (is ? [column] : []));
    const isText = columns.map((column) => (this.#kinds[column] ?? 'number') !== 'number');
    const mostRows = this.#store.room;
    const plan = { width: this.#width, columns, isText, mostRows };
    this.#plain = columns.length > 0 ? new PlainRows(dialect, plan) : null;
    this.#values = (this.#plain?.values ?? []).map((values, slot) =>
      isText[slot] ? new Float64Array(mostRows) : values,
    );
    this.#texts = columns.flatMap((column, slot) => (isText[slot] ? [{ column, slot }] : []));
    this.faults = new CsvFaults(file, dialect, headings);
  }

  get rows(): number {
    return this.#store.rows;
  }

  /** One line, as {@link Lines} hands them out. */
  readonly take = (data: Buffer, start: number, end: number, at: LineState): void => {
    if (at.line <= this.#dialect.headLines) {
      if (at.unfinished)
        this.cut = { line: at.line, found: 'a heading that breaks off', kept: 'nothing stands before it', lost: true };
      return;
    }
    const first = data[start]!;
    if (start === end || first === HASH || first === PERCENT || first === SLASH) {
      if (at.unfinished && data[start - 1] === 0)
        this.cut = {
          line: at.line,
          found: 'zeros in place of rows',
          kept: 'everything before them is used',
          lost: true,
        };
      return;
    }
    this.#line = at.line;
    const cells = at.open ? 0 : at.quoted ? this.#quotedRow(data, start, end) : this.#unquotedRow(data, start, end);
    if (cells === NOT_A_ROW) return;
    const whole = cells === this.#width;
    if (at.unfinished) {
      this.#endsOpen(data, start, end, whole);
      if (!whole) return;
    } else if (!whole) {
      this.#store.blank();
      if (at.open) this.faults.openQuote(at.line);
      else this.faults.ragged(at.line, cells);
    } else this.#latest = { data, start, end };
    if (at.line !== this.#expectedLine) this.#jump(at.line);
    this.#expectedLine = at.line + 1;
    this.#store.next();
  };

  /** Rows of plain numbers and stamps, many at a time; all others come one by one. Null where no column is wanted. */
  get many(): ManyLines | null {
    const plain = this.#plain;
    if (!plain) return null;
    return {
      get next() {
        return plain.next;
      },
      take: (data, start, line) => {
        const rows = plain.take(data, start, this.#store.room);
        let from = 0;
        for (let row = 0; row < rows && this.#texts.length > 0; row++)
          if (!this.#readTexts(plain, data, row, line + row)) {
            this.#keep(plain, data, line, from, row, rows);
            from = row + 1;
          }
        this.#keep(plain, data, line, from, rows, rows);
        return rows;
      },
    };
  }

  /** Reads the stamps of a row; false where it is the heading again. */
  #readTexts(plain: PlainRows, data: Buffer, row: number, line: number): boolean {
    this.#line = line;
    for (const { column, slot } of this.#texts) {
      const start = plain.placeOf(plain.values[slot]![row]!);
      let end = start;
      while (data[end] !== this.#delimiter && data[end] !== this.#lineEnd) end++;
      const value = this.#cell(this.#text(data, start, end), column);
      if (value === null) return false;
      this.#values[slot]![row] = value;
    }
    return true;
  }

  /** Keeps rows [from, to) of those that were taken together, the first of which is line `line`. */
  #keep(plain: PlainRows, data: Buffer, line: number, from: number, to: number, taken: number): void {
    if (from === to) return;
    let end = (to < taken ? plain.startOf(to) : plain.next) - 1;
    while (data[end - 1] === RETURN) end--;
    this.#latest = { data, start: plain.startOf(to - 1), end };
    if (line + from !== this.#expectedLine) this.#jump(line + from);
    this.#expectedLine = line + to;
    this.#store.append(this.#values, from, to);
  }

  /** The bytes given so far are about to be others. */
  letGo(): void {
    this.#plain?.letGo();
    if (!this.#latest) return;
    const { data, start, end } = this.#latest;
    this.#latest = { data: Buffer.from(data.subarray(start, end)), start: 0, end: end - start };
  }

  #jump(line: number): void {
    this.#jumps.push(this.rows, line);
    if (this.#jumps.length > LIMITS.values / 4)
      throw tooLarge(this.#file, { line }, 'a comment, a blank line or a damaged row at every turn', 'rows of numbers');
  }

  /**
   * The last row has no line end: complete, or cut off within its last cell? Complete where that cell has as many
   * digits behind the point as the one above it (or, without a point, as many in all).
   */
  #endsOpen(data: Buffer, start: number, end: number, whole: boolean): void {
    const line = this.#line;
    if (!whole) {
      this.cut = { line, found: 'a last row that breaks off', kept: 'everything before it is used', lost: true };
      return;
    }
    const shape = (cell: Uint8Array): number => {
      const point = cell.lastIndexOf(this.#decimal);
      return point === -1 ? -cell.length : cell.length - point;
    };
    const last = (bytes: Uint8Array): Uint8Array => bytes.subarray(bytes.lastIndexOf(this.#delimiter) + 1);
    const above = this.#latest && last(this.#latest.data.subarray(this.#latest.start, this.#latest.end));
    const telling = above?.some((byte) => byte >= ZERO && byte <= NINE);
    const alike = !above || !telling || shape(above) === shape(last(data.subarray(start, end)));
    const block = this.#store.blocks[this.#width - 1];
    if (block && !alike) block[this.#store.row] = Number.NaN;
    this.cut = {
      line,
      found: 'a last row without a line end',
      kept: alike ? 'the row is used' : 'the row is used without its last cell, which may have lost digits',
      lost: false,
    };
  }

  /**
   * A row that {@link PlainRows} left: numbers straight from bytes; anything else goes through {@link CsvRows.#cell}.
   *
   * @returns the number of cells, or {@link NOT_A_ROW}
   */
  #unquotedRow(data: Buffer, start: number, end: number): number {
    const delimiter = this.#delimiter;
    const decimal = this.#decimal;
    const blocks = this.#store.blocks;
    const row = this.#store.row;
    const lastWanted = this.#lastWanted;
    let p = start;
    let column = 0;
    for (; column <= lastWanted; column++) {
      const block = blocks[column];
      const cellStart = p;
      if (!block) {
        while (p < end && data[p] !== delimiter) p++;
      } else {
        // data[end] is there and is neither digit nor sign nor delimiter, so only the end of a cell needs a look at `end`.
        let c = data[p]!;
        while (c === BLANK) c = data[++p]!;
        const negative = c === MINUS;
        if (negative || c === PLUS) c = data[++p]!;
        let mantissa = 0;
        const whole = p;
        while (c >= ZERO && c <= NINE) {
          mantissa = mantissa * 10 + (c - ZERO);
          c = data[++p]!;
        }
        let digits = p - whole;
        let fraction = 0;
        if (c === decimal && c !== delimiter && p < end) {
          c = data[++p]!;
          const from = p;
          while (c >= ZERO && c <= NINE) {
            mantissa = mantissa * 10 + (c - ZERO);
            c = data[++p]!;
          }
          fraction = p - from;
          digits += fraction;
        }
        let exponent = 0;
        if (c === LOWER_E || c === UPPER_E) {
          c = data[++p]!;
          const down = c === MINUS;
          if (down || c === PLUS) c = data[++p]!;
          const from = p;
          while (c >= ZERO && c <= NINE) {
            exponent = exponent * 10 + (c - ZERO);
            c = data[++p]!;
          }
          if (p === from) digits = 0;
          if (down) exponent = -exponent;
        }
        while (c === BLANK) c = data[++p]!;
        const power = exponent - fraction;
        if (c !== delimiter && p !== end) digits = 0;
        if (digits > 0 && digits <= 15 && power <= 22 && power >= -22) {
          const value = power < 0 ? mantissa / TEN[-power]! : mantissa * TEN[power]!;
          block[row] = negative ? -value : value;
        } else if (p === cellStart && (c === delimiter || p === end)) {
          block[row] = Number.NaN;
        } else {
          p = cellStart;
          while (p < end && data[p] !== delimiter) p++;
          const text = this.#text(data, cellStart, p);
          let value: number | null = digits > 0 && decimal === POINT ? Number(text) : Number.POSITIVE_INFINITY;
          if (!Number.isFinite(value)) value = this.#cell(text, column);
          if (value === null) return NOT_A_ROW;
          block[row] = value;
        }
      }
      if (p >= end) return column + 1;
      p++;
    }
    // Behind the last column that is wanted cells are only counted.
    column++;
    for (; p < end; p++) if (data[p] === delimiter) column++;
    return column > this.#width && isTail(data, start, end, delimiter, column - this.#width) ? this.#width : column;
  }

  #quotedRow(data: Buffer, start: number, end: number): number {
    const text = this.#decoder.decode(data.subarray(start, end));
    const cells = Papa.parse<string[]>(text, { delimiter: this.#dialect.delimiter, newline: '\n' }).data[0] ?? [];
    for (let c = 0; c < Math.min(cells.length, this.#width); c++) {
      const block = this.#store.blocks[c];
      if (!block) continue;
      const value = this.#cell(cells[c] ?? '', c);
      if (value === null) return NOT_A_ROW;
      block[this.#store.row] = value;
    }
    const tail = cells.slice(this.#width);
    return tail.every((cell) => cell.trim() === '') ? Math.min(cells.length, this.#width) : cells.length;
  }

  #text(data: Buffer, start: number, end: number): string {
    // Much faster than decoding, and the same for ASCII.
    const text = data.toString('latin1', start, end);
    return NOT_ASCII.test(text) ? this.#decoder.decode(data.subarray(start, end)) : text;
  }

  /** A cell that is not a plain number; null where the row is a repeated heading. */
  #cell(raw: string, column: number): number | null {
    const text = raw.trim();
    if (text === '') return Number.NaN;
    const point = this.#dialect.decimal === ',' ? text.replace(',', '.') : text;
    if (NUMBER.test(point)) {
      const value = Number(point);
      if (Number.isFinite(value)) return value;
    }
    const time = stamp(text);
    if (time !== null) {
      // A column is of one kind: of what its first rows are, or else its first stamp.
      const kind = (this.#kinds[column] ??= time.kind);
      if (kind === time.kind) return time.seconds;
    }
    if (text === this.#dialect.headings[column] || text === this.#dialect.unitRow[column]) {
      this.faults.headingAgain(this.#line);
      return null;
    }
    const unit = this.#dialect.cellUnits[column];
    if (unit && point.endsWith(unit)) {
      const number = point.slice(0, -unit.length).trim();
      if (NUMBER.test(number)) return Number(number);
    }
    this.faults.cell(column, this.#line, text);
    return Number.NaN;
  }

  /** Columns of dates and times. */
  get stamps(): Map<number, Stamp['kind']> {
    const stamps = new Map<number, Stamp['kind']>();
    for (const [column, kind] of this.#kinds.entries()) if (kind && kind !== 'number') stamps.set(column, kind);
    return stamps;
  }

  columns(): (Float64Array | null)[] {
    this.#plain?.free();
    return this.#store.finish();
  }

  /** Line of the file in which a row begins. */
  readonly lineOfRow = (row: number): number => {
    const jumps = this.#jumps;
    let [low, high] = [0, jumps.length / 2 - 1];
    while (low < high) {
      const middle = (low + high + 1) >> 1;
      if (jumps[2 * middle]! <= row) low = middle;
      else high = middle - 1;
    }
    return high < 0 ? 1 : jumps[2 * low + 1]! + (row - jumps[2 * low]!);
  };
}

/** Whether the last `count` cells of a line are empty: delimiters behind the last column make no cells. */
function isTail(data: Uint8Array, start: number, end: number, delimiter: number, count: number): boolean {
  let left = count;
  for (let i = end - 1; i >= start && left > 0; i--) {
    if (data[i] === delimiter) left--;
    else if (data[i] !== BLANK) return false;
  }
  return left === 0;
}
