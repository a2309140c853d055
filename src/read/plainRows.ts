import type { Dialect } from './dialect.ts';
import { MODULE } from './plainRows.wasm.ts';

/** What plainRows.as.ts exports. */
interface Machine {
  readonly memory: WebAssembly.Memory;
  readonly TENS: WebAssembly.Global<'i32'>;
  readonly SKIPS: WebAssembly.Global<'i32'>;
  readonly ROOM: WebAssembly.Global<'i32'>;
  readonly ROOM_BYTES: WebAssembly.Global<'i32'>;
  readonly STARTS: WebAssembly.Global<'i32'>;
  readonly VALUES: WebAssembly.Global<'i32'>;
  readonly next: WebAssembly.Global<'i32'>;
  plan(between: number, point: number, end: number, columns: number, behind: number, columnBytes: number): void;
  take(from: number, to: number, most: number): number;
}

const NO_BYTE = 256;

/** Machines of files that were read, for the next: their memory is there already. */
const IDLE: Machine[] = [];
let compiled: WebAssembly.Module | null = null;

function machine(): Machine {
  const idle = IDLE.pop();
  if (idle) return idle;
  compiled ??= new WebAssembly.Module(Buffer.from(MODULE, 'base64'));
  return new WebAssembly.Instance(compiled).exports as unknown as Machine;
}

/** Which cells of a row are read, and how. */
export interface PlainPlan {
  /** Columns of the file. */
  readonly width: number;
  /** Those that are wanted, in order, at least one. */
  readonly columns: readonly number[];
  /** For each of them, whether only the place of each cell is wanted, see {@link PlainRows.placeOf}. */
  readonly isText: readonly boolean[];
  /** So many rows are taken at once at most, 8192 and 2^18 by the wanted columns. */
  readonly mostRows: number;
}

/**
 * Takes rows of plain numbers, and of texts for others to read, many at a time and several times as fast as they are taken
 * one by one. It stops at the first line that is anything else: with another number of cells, a quote, a word for a number,
 * an exponent, more digits than are exact, a comment, or nothing in it.
 */
export class PlainRows {
  /** Values of each column that is wanted, in their order: as many as rows were taken last. */
  readonly values: readonly Float64Array[];
  /** Where the first line begins that was not taken. */
  next = 0;
  readonly #machine: Machine;
  readonly #room: Uint8Array;
  readonly #starts: Uint32Array;
  readonly #lineEnd: number;
  /** The bytes that lie in the machine, from here to before there. */
  #data: Buffer | null = null;
  #from = 0;
  #to = 0;

  constructor(dialect: Dialect, { width, columns, isText, mostRows }: PlainPlan) {
    this.#machine = machine();
    const { memory, TENS, SKIPS, ROOM, ROOM_BYTES, STARTS, VALUES } = this.#machine;
    const skips = columns.map((column, i) => column - (columns[i - 1] ?? -1) - 1);
    new Float64Array(memory.buffer, TENS.value, 16).set(Array.from({ length: 16 }, (_, i) => 10 ** i));
    new Int32Array(memory.buffer, SKIPS.value).set(skips.map((skip, i) => (isText[i] ? ~skip : skip)));
    this.#room = new Uint8Array(memory.buffer, ROOM.value, ROOM_BYTES.value);
    this.#starts = new Uint32Array(memory.buffer, STARTS.value, mostRows);
    this.values = columns.map((_, i) => new Float64Array(memory.buffer, VALUES.value + 8 * i * mostRows, mostRows));
    this.#lineEnd = dialect.lineEnd.charCodeAt(0);
    const delimiter = dialect.delimiter.charCodeAt(0);
    // What stands between cells is no decimal sign.
    const decimal = dialect.decimal === dialect.delimiter ? NO_BYTE : dialect.decimal.charCodeAt(0);
    const behind = width - 1 - columns.at(-1)!;
    this.#machine.plan(delimiter, decimal, this.#lineEnd, columns.length, behind, 8 * mostRows);
  }

  /** Takes what it can of the lines from `start` on, at most `most`, and says how many. */
  take(data: Buffer, start: number, most: number): number {
    if (data !== this.#data || start < this.#from || start >= this.#to) this.#load(data, start);
    this.next = start;
    if (start >= this.#to) return 0;
    const { ROOM, take, next } = this.#machine;
    const rows = take(ROOM.value + start - this.#from, ROOM.value + this.#to - this.#from, most);
    this.next = this.placeOf(next.value);
    return rows;
  }

  /** Where in the data a text begins, by its value. */
  placeOf(value: number): number {
    return value - this.#machine.ROOM.value + this.#from;
  }

  /** Where in the data a row begins that was taken last. */
  startOf(row: number): number {
    return this.placeOf(this.#starts[row]!);
  }

  /** Whole lines alone. */
  #load(data: Buffer, start: number): void {
    const end = Math.min(data.length, start + this.#room.length);
    this.#data = data;
    this.#from = start;
    this.#to = data.lastIndexOf(this.#lineEnd, end - 1) + 1;
    if (this.#to > start) this.#room.set(data.subarray(start, this.#to));
  }

  /** The bytes given so far are about to be others. */
  letGo(): void {
    this.#data = null;
  }

  /** Leaves its memory to the next file. */
  free(): void {
    IDLE.push(this.#machine);
  }
}
