import { createHash } from 'node:crypto';
import Papa from 'papaparse';
import type { Problem, ProblemCode, Severity } from '../problem.ts';
import { type Dialect, sniffDialect, splitLine } from './dialect.ts';
import { stamp } from './stamp.ts';
import type { Format, Table, TableRequest } from './table.ts';

const HEAD_BYTES = 1 << 16;
const NEWLINE = 10;
const RETURN = 13;
const QUOTE = 34;
const HASH = 35;
/** Powers of ten that are exact in a double: a mantissa below 2^53 over one of them is correctly rounded. */
const TEN = Float64Array.from({ length: 23 }, (_, i) => 10 ** i);

/** Comma-separated values: RFC 4180 with headings, numbers and stamps. */
export const csv: Format = {
  id: 'csv',
  recognise(head) {
    const text = new TextDecoder('utf-8').decode(head);
    return !text.includes('\u0000') && sniffDialect(text) !== null;
  },
  read,
};

async function read(chunks: AsyncIterable<Uint8Array>, request: TableRequest): Promise<Table> {
  const hash = createHash('sha256');
  let bytes = 0;
  let head: Uint8Array<ArrayBufferLike> = new Uint8Array(0);
  let sink: RowSink | null = null;
  let rest: Uint8Array<ArrayBufferLike> = new Uint8Array(0);

  for await (const chunk of chunks) {
    hash.update(chunk);
    bytes += chunk.length;
    if (sink === null) {
      head = joined(head, chunk);
      if (head.length < HEAD_BYTES) continue;
      sink = open(head, request);
      rest = sink.take(head, false);
    } else {
      rest = sink.take(joined(rest, chunk), false);
    }
  }
  if (sink === null) {
    sink = open(head, request);
    rest = head;
  }
  sink.take(rest, true);
  return sink.table(bytes, hash.digest('hex'));
}

function joined(a: Uint8Array, b: Uint8Array): Uint8Array {
  if (a.length === 0) return b;
  const both = new Uint8Array(a.length + b.length);
  both.set(a);
  both.set(b, a.length);
  return both;
}

function open(head: Uint8Array, request: TableRequest): RowSink {
  const text = new TextDecoder('utf-8').decode(head);
  const dialect = sniffDialect(text, { decimal: request.decimal });
  return new RowSink(dialect ?? emptyDialect(text), request);
}

/** A file with a heading and not one row of data, or nothing at all. */
function emptyDialect(text: string): Dialect {
  const line = text.replace(/^\uFEFF/, '').split(/\r\n|\n|\r/)[0] ?? '';
  const headings = line === '' ? [] : splitLine(line, ',');
  return { delimiter: ',', decimal: '.', headLines: 1, headings, unitRow: [], named: true };
}

/** A heading `name [unit]` as its two parts. */
export function headingParts(heading: string): { name: string; unit: string | null } {
  const match = /^(.*?)\s*\[([^\]]*)\]$/.exec(heading.trim());
  return match ? { name: match[1] ?? '', unit: match[2] ?? '' } : { name: heading.trim(), unit: null };
}

interface Fault {
  count: number;
  line: number;
  sample: string;
}

/** Turns lines of bytes into columns of numbers; what it cannot read it counts, with the first place. */
class RowSink {
  readonly #dialect: Dialect;
  readonly #request: TableRequest;
  readonly #delimiter: number;
  readonly #decimal: number;
  readonly #width: number;
  readonly #wanted: Uint8Array;
  readonly #stampColumn: Uint8Array;
  #columns: Float64Array<ArrayBuffer>[];
  #capacity = 4096;
  #rows = 0;
  /** Lines consumed so far. */
  #line = 0;
  #byte = 0;
  /** Whether the bytes at hand hold a quote at all; clean numeric logs never do. */
  #quotes = false;
  /** Pairs (row, line) from which the line of a row differs from the one before by more than one. */
  #jumps: number[] = [];
  #expectedLine = -1;
  #ragged: (Fault & { width: number }) | null = null;
  #cut: { byte: number; line: number; whole: boolean } | null = null;
  #repeated: Fault | null = null;
  readonly #unreadable = new Map<number, Fault>();
  readonly #decoder = new TextDecoder('utf-8');

  constructor(dialect: Dialect, request: TableRequest) {
    this.#dialect = dialect;
    this.#request = request;
    this.#delimiter = dialect.delimiter.charCodeAt(0);
    this.#decimal = dialect.decimal.charCodeAt(0);
    this.#width = dialect.headings.length;
    this.#wanted = Uint8Array.from(dialect.headings, (heading) => (request.wanted(heading) ? 1 : 0));
    this.#stampColumn = new Uint8Array(this.#width);
    this.#columns = Array.from({ length: this.#width }, (_, i) => new Float64Array(this.#wanted[i] ? this.#capacity : 0));
  }

  /** Reads the whole lines of `data`; returns what is left of an unfinished one. With `last` there is none. */
  take(data: Uint8Array, last: boolean): Uint8Array {
    let start = 0;
    const end = data.length;
    this.#quotes = data.indexOf(QUOTE) !== -1;
    while (start < end) {
      let stop = data.indexOf(NEWLINE, start);
      let next = stop + 1;
      if (stop === -1) {
        if (!last) break;
        stop = next = end;
        this.#endsOpen(data, start);
      }
      // An open quote carries a line break into the cell: the row goes on.
      while (this.#quotes && next < end && oddQuotes(data, start, stop)) {
        const more = data.indexOf(NEWLINE, next);
        if (more === -1 && !last) return this.#keep(data, start);
        stop = more === -1 ? end : more;
        next = more === -1 ? end : more + 1;
      }
      this.#oneLine(data, start, stop > start && data[stop - 1] === RETURN ? stop - 1 : stop);
      this.#byte += next - start;
      start = next;
    }
    return this.#keep(data, start);
  }

  #keep(data: Uint8Array, start: number): Uint8Array {
    return data.subarray(start).slice();
  }

  #endsOpen(data: Uint8Array, start: number): void {
    let cells = 1;
    for (let i = start; i < data.length; i++) if (data[i] === this.#delimiter) cells++;
    if (this.#line < this.#dialect.headLines) return;
    this.#cut = { byte: this.#byte + data.length - start, line: this.#line + 1, whole: cells === this.#width };
  }

  #oneLine(data: Uint8Array, start: number, end: number): void {
    this.#line++;
    if (this.#line <= this.#dialect.headLines || start === end || data[start] === HASH) return;
    const row = this.#rows;
    if (row === this.#capacity) this.#grow();
    const quoted = this.#quotes && data.subarray(start, end).includes(QUOTE);
    const cells = quoted ? this.#quotedRow(data, start, end, row) : this.#plainRow(data, start, end, row);
    if (cells === -1) return;
    if (cells !== this.#width) {
      if (this.#cut?.line === this.#line) {
        // The unfinished last row of a log that was cut off: said once, as LOG_CUT.
        return;
      }
      for (let c = 0; c < this.#width; c++) if (this.#wanted[c]) this.#columns[c]![row] = Number.NaN;
      this.#ragged ??= { count: 0, line: this.#line, sample: '', width: cells };
      this.#ragged.count++;
    } else if (this.#cut?.line === this.#line && this.#wanted[this.#width - 1]) {
      // Complete in number of cells, but nobody can say whether the last number lost digits.
      this.#columns[this.#width - 1]![row] = Number.NaN;
    }
    if (this.#line !== this.#expectedLine) this.#jumps.push(row, this.#line);
    this.#expectedLine = this.#line + 1;
    this.#rows++;
  }

  /** Numbers straight from bytes; anything else goes through {@link RowSink.#cell}. Returns the number of cells, -1 to skip. */
  #plainRow(data: Uint8Array, start: number, end: number, row: number): number {
    const delimiter = this.#delimiter;
    const decimal = this.#decimal;
    let p = start;
    let column = 0;
    for (;;) {
      const cellStart = p;
      if (column < this.#width && this.#wanted[column] === 1) {
        let c = p < end ? data[p]! : delimiter;
        const negative = c === 45;
        if (negative) c = ++p < end ? data[p]! : delimiter;
        let mantissa = 0;
        let digits = 0;
        let fraction = 0;
        while (c >= 48 && c <= 57) {
          mantissa = mantissa * 10 + (c - 48);
          digits++;
          c = ++p < end ? data[p]! : delimiter;
        }
        if (c === decimal && c !== delimiter && p < end) {
          c = ++p < end ? data[p]! : delimiter;
          while (c >= 48 && c <= 57) {
            mantissa = mantissa * 10 + (c - 48);
            digits++;
            fraction++;
            c = ++p < end ? data[p]! : delimiter;
          }
        }
        if (c === delimiter && digits > 0 && digits <= 15) {
          const value = mantissa / TEN[fraction]!;
          this.#columns[column]![row] = negative ? -value : value;
        } else {
          p = cellStart;
          while (p < end && data[p] !== delimiter) p++;
          const value = this.#cell(this.#decoder.decode(data.subarray(cellStart, p)), column);
          if (value === null) return -1;
          this.#columns[column]![row] = value;
        }
      } else {
        while (p < end && data[p] !== delimiter) p++;
      }
      column++;
      if (p >= end) return column;
      p++;
    }
  }

  #quotedRow(data: Uint8Array, start: number, end: number, row: number): number {
    const text = this.#decoder.decode(data.subarray(start, end));
    const cells = Papa.parse<string[]>(text, { delimiter: this.#dialect.delimiter }).data[0] ?? [];
    for (let c = 0; c < Math.min(cells.length, this.#width); c++) {
      if (!this.#wanted[c]) continue;
      const value = this.#cell(cells[c] ?? '', c);
      if (value === null) return -1;
      this.#columns[c]![row] = value;
    }
    return cells.length;
  }

  /** A cell that is not a plain number; null where the row is a repeated heading. */
  #cell(raw: string, column: number): number | null {
    const text = raw.trim();
    if (text === '' || /^(nan|null|n\/a|-)$/i.test(text)) return Number.NaN;
    const point = this.#dialect.decimal === ',' ? text.replace(',', '.') : text;
    if (/^[+-]?(\d+\.?\d*|\.\d+)([eE][+-]?\d+)?$/.test(point)) return Number(point);
    const time = stamp(text);
    if (time !== null) {
      this.#stampColumn[column] = 1;
      return time;
    }
    if (text === this.#dialect.headings[column]) {
      this.#repeated ??= { count: 0, line: this.#line, sample: '' };
      this.#repeated.count++;
      return null;
    }
    const fault = this.#unreadable.get(column) ?? { count: 0, line: this.#line, sample: text.slice(0, 40) };
    fault.count++;
    this.#unreadable.set(column, fault);
    return Number.NaN;
  }

  #grow(): void {
    this.#capacity *= 2;
    this.#columns = this.#columns.map((old, i) => {
      if (!this.#wanted[i]) return old;
      const wider = new Float64Array(this.#capacity);
      wider.set(old);
      return wider;
    });
  }

  table(bytes: number, sha256: string): Table {
    const { headings, unitRow } = this.#dialect;
    const jumps = this.#jumps;
    return {
      headings,
      units: headings.map((heading, i) => headingParts(heading).unit ?? unitRow[i] ?? null),
      columns: this.#columns.map((column, i) => (this.#wanted[i] ? column.subarray(0, this.#rows) : null)),
      stamps: new Set(headings.keys().filter((i) => this.#stampColumn[i] === 1)),
      rows: this.#rows,
      bytes,
      sha256,
      lineOfRow(row) {
        let i = jumps.length - 2;
        while (i > 0 && jumps[i]! > row) i -= 2;
        return i < 0 ? 1 : jumps[i + 1]! + (row - jumps[i]!);
      },
      problems: this.#problems(),
    };
  }

  #problems(): Problem[] {
    const { file } = this.#request;
    const problems: Problem[] = [];
    const say = (
      code: ProblemCode,
      severity: Severity,
      place: { line?: number; byte?: number; column?: string },
      found: string,
      expected: string,
      remedy: string,
    ): void => void problems.push({ code, severity, place: { file, ...place }, found, expected, remedy });

    if (!this.#dialect.named)
      say('HEADER_MISSING', 'warn', { line: 1 }, 'numbers in the first line', 'a heading line `name [unit],…`', 'name the columns in the session file: `columns: { time: { from: "column 1", unit: "s" } }`');
    if (this.#rows === 0)
      say('LOG_EMPTY', 'stop', { line: 1 }, 'no row of data', 'a heading line and rows below it', 'export the log again, or take the run out of the session file');
    if (this.#ragged) {
      const { count, line, width } = this.#ragged;
      say('ROW_RAGGED', 'warn', { line }, `${count} row(s) with another number of cells than the heading, the first with ${width}`, `${this.#width} cells, as the heading has`, 'these rows are set aside; look at the lines in the logger’s export');
    }
    if (this.#repeated) {
      const { count, line } = this.#repeated;
      say('ROW_RAGGED', 'note', { line }, `the heading repeated ${count} time(s) among the rows`, 'one heading', 'nothing to do: the repeated headings are passed over; the logger probably lost power');
    }
    for (const [column, { count, line, sample }] of this.#unreadable)
      say('CELL_UNREADABLE', 'warn', { line, column: headings(this.#dialect, column) }, `\`${sample}\`${count > 1 ? ` and ${count - 1} more` : ''}`, 'a number, or an empty cell', 'these cells count as empty; if the decimal sign is a comma, say `decimal: ","` in the session file');
    if (this.#cut) {
      const { byte, line, whole } = this.#cut;
      say('LOG_CUT', whole ? 'note' : 'warn', { line, byte }, whole ? 'a last row without a line end' : 'a last row that breaks off', 'a line end after the last row', whole ? 'the row is used without its last cell, which may have lost digits' : 'everything before it is used; copy the log again if the source has more');
    }
    return problems;
  }
}

const headings = (dialect: Dialect, column: number): string => dialect.headings[column] ?? `column ${column + 1}`;

function oddQuotes(data: Uint8Array, start: number, stop: number): boolean {
  let quotes = 0;
  for (let i = start; i < stop; i++) if (data[i] === QUOTE) quotes++;
  return quotes % 2 === 1;
}
