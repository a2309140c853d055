import { LIMITS, tooLarge } from './limits.ts';

const QUOTE = 34;
const BLANK = 32;
const RETURN = 13;
const NEWLINE = 10;

/** One line of bytes: `data[start]` to before `data[end]`, and at `end` one more byte that is a line end. */
export type TakeLine = (data: Buffer, start: number, end: number, at: LineState) => void;

/** Many lines at once, where a reader can. */
export interface ManyLines {
  /** Where the first line begins that was not taken. */
  readonly next: number;
  /** Takes what it can of the lines from `start` on, the first being line `line` of the file, and says how many. */
  take(data: Buffer, start: number, line: number): number;
}

export interface LineState {
  /** Line of the file, from 1. */
  line: number;
  /** The bytes between start and end hold a quote. */
  quoted: boolean;
  /** A quoted cell of the line is not closed. */
  open: boolean;
  /** The file ends without a line end behind it. */
  unfinished: boolean;
}

/**
 * Cuts bytes that come in pieces into lines, the same lines whatever the pieces.
 *
 * Line ends are LF, CR LF or, where the dialect says so, CR. A quoted cell may hold line ends; one that is not closed
 * within reason ends with its line, so that a stray quote costs one line and not the rest of the file.
 */
export class Lines {
  readonly #file: string;
  readonly #end: number;
  readonly #delimiter: number;
  /** Lines at the start that are taken as they are, quotes or not. */
  readonly #headLines: number;
  readonly #take: TakeLine;
  readonly #many: ManyLines | null;
  readonly #state: LineState = { line: 0, quoted: false, open: false, unfinished: false };
  /** Lines of the file that are behind us. */
  #lines = 0;
  #rest: Buffer = Buffer.alloc(0);

  constructor(
    file: string,
    dialect: { delimiter: string; lineEnd: string; headLines: number },
    take: TakeLine,
    many: ManyLines | null = null,
  ) {
    this.#file = file;
    this.#end = dialect.lineEnd.charCodeAt(0);
    this.#delimiter = dialect.delimiter.charCodeAt(0);
    this.#headLines = dialect.headLines;
    this.#take = take;
    this.#many = many;
  }

  /** The next bytes of the file. */
  push(piece: Uint8Array): void {
    const bytes = searchable(piece);
    this.#cut(this.#rest.length === 0 ? bytes : this.#behindRest(bytes), false);
    if (this.#rest.length > LIMITS.lineBytes) this.#tooLong(this.#rest.length);
  }

  /** The line that two pieces share is put together alone, unless it has a quote: then its end is not so plain. */
  #behindRest(piece: Buffer): Buffer {
    const end = piece.indexOf(this.#end) + 1;
    const line = Buffer.concat([this.#rest, piece.subarray(0, end)]);
    if (end === 0 || line.includes(QUOTE)) return Buffer.concat([this.#rest, piece]);
    this.#cut(line, false);
    return piece.subarray(end);
  }

  /** No more bytes: what is left is the last line. */
  finish(): void {
    const { length } = this.#rest;
    if (length === 0) return;
    // With a line end put behind it, the last line is like any other but for the mark.
    this.#cut(Buffer.concat([this.#rest, Buffer.of(this.#end)]), true);
  }

  #cut(data: Buffer, last: boolean): void {
    const state = this.#state;
    const size = data.length;
    // Looked for once, where it matters.
    let quotes: boolean | null = null;
    let start = 0;
    while (start < size) {
      // The last line says that it has no end.
      if (this.#many && this.#lines >= this.#headLines && !last) {
        this.#lines += this.#many.take(data, start, this.#lines + 1);
        start = this.#many.next;
        if (start >= size) break;
      }
      let end = data.indexOf(this.#end, start);
      if (end === -1) break;
      state.quoted = false;
      state.open = false;
      let lines = 1;
      quotes ??= data.indexOf(QUOTE, start) !== -1;
      if (quotes && this.#lines >= this.#headLines && data.subarray(start, end).includes(QUOTE)) {
        state.quoted = true;
        const record = this.#recordEnd(data, start, end, last);
        if (record === null) break;
        state.open = record.open;
        end = record.end;
        lines = record.lines;
      }
      if (end - start > LIMITS.lineBytes) this.#tooLong(end - start);
      state.line = this.#lines + 1;
      this.#lines += lines;
      state.unfinished = last && end === size - 1;
      let from = start;
      let to = end;
      while (to > from && data[to - 1] === RETURN) to--;
      // Zeros are what a loss of power leaves before the next start; LF first is CR LF in a file of CR.
      while (from < to && (data[from] === 0 || data[from] === NEWLINE)) from++;
      this.#take(data, from, to, state);
      start = end + 1;
    }
    this.#rest = Buffer.from(data.subarray(start));
  }

  /** Where the row that starts here ends, line ends in quoted cells passed over; null where more bytes must tell. */
  #recordEnd(
    data: Uint8Array,
    start: number,
    end: number,
    last: boolean,
  ): { end: number; open: boolean; lines: number } | null {
    const limit = Math.min(data.length, start + LIMITS.quotedBytes);
    let inside = false;
    let atStart = true;
    let lines = 1;
    for (let i = start; i < limit; i++) {
      const byte = data[i]!;
      if (inside) {
        if (byte === this.#end) lines++;
        if (byte !== QUOTE) continue;
        if (data[i + 1] === QUOTE) i++;
        else inside = false;
      } else if (byte === this.#end) return { end: i, open: false, lines };
      else if (byte === QUOTE && atStart) {
        inside = true;
        atStart = false;
      } else atStart = byte === this.#delimiter || (atStart && byte === BLANK);
    }
    return last || data.length - start > LIMITS.quotedBytes ? { end, open: inside || lines > 1, lines: 1 } : null;
  }

  #tooLong(bytes: number): never {
    const found = `a line of more than ${Math.min(bytes, LIMITS.lineBytes)} bytes`;
    throw tooLarge(this.#file, { line: this.#lines + 1 }, found, 'lines of at most a megabyte');
  }
}

/** As a Buffer, which finds a byte several times as fast as a plain array, and so that loops over bytes see one class. */
function searchable(piece: Uint8Array): Buffer {
  return Buffer.isBuffer(piece) ? piece : Buffer.from(piece.buffer, piece.byteOffset, piece.byteLength);
}
