import { LIMITS, tooLarge } from './limits.ts';

/** Values of one block over all columns. */
const BLOCK_VALUES = 1 << 18;
/** Rows of a block, but for files of very many columns. */
const BLOCK_ROWS = 8192;
/** Blocks of the files before, to be filled anew: memory that the system gives costs more than what is written to it. */
const SPARE: Float64Array<ArrayBuffer>[] = [];
const MOST_SPARE = 128;

/**
 * Columns that grow row by row without ever being copied while they grow: each is a list of blocks.
 *
 * `blocks[column][row]` is where the next value goes, null for columns that were not asked for; {@link ColumnStore.next}
 * goes to the next row.
 */
export class ColumnStore {
  readonly blocks: (Float64Array<ArrayBuffer> | null)[];
  /** Row in the block at hand. */
  row = 0;
  readonly #file: string;
  readonly #full: (Float64Array<ArrayBuffer> | null)[][] = [];
  readonly #blockRows: number;
  readonly #maxRows: number;

  constructor(wanted: readonly boolean[], file: string) {
    const count = Math.max(1, wanted.filter(Boolean).length);
    this.#file = file;
    this.#blockRows = Math.max(16, Math.min(BLOCK_ROWS, Math.floor(BLOCK_VALUES / count)));
    this.#maxRows = Math.floor(LIMITS.values / count);
    this.blocks = wanted.map((is) => (is ? this.#block() : null));
  }

  get rows(): number {
    return this.#full.length * this.#blockRows + this.row;
  }

  next(): void {
    if (++this.row < this.#blockRows) return;
    this.#full.push([...this.blocks]);
    for (let c = 0; c < this.blocks.length; c++) if (this.blocks[c]) this.blocks[c] = this.#block();
    this.row = 0;
    if (this.rows > this.#maxRows)
      throw tooLarge(
        this.#file,
        {},
        `more than ${this.#maxRows} rows`,
        `at most ${LIMITS.values} values in the columns that are read`,
      );
  }

  /** So many rows the block at hand still takes. */
  get room(): number {
    return this.#blockRows - this.row;
  }

  /** Rows [from, to) from elsewhere, one or more and at most as many as there is room for: a list for each column asked for. */
  append(columns: readonly Float64Array[], from: number, to: number): void {
    let which = 0;
    for (const block of this.blocks) block?.set(columns[which++]!.subarray(from, to), this.row);
    this.row += to - from - 1;
    this.next();
  }

  /** Holds whatever it held before. */
  #block(): Float64Array<ArrayBuffer> {
    return (this.#blockRows === BLOCK_ROWS && SPARE.pop()) || new Float64Array(this.#blockRows);
  }

  /** Every cell of the row at hand to NaN. */
  blank(): void {
    for (const block of this.blocks) if (block) block[this.row] = Number.NaN;
  }

  /** The columns in one piece each; the store is empty afterwards. */
  finish(): (Float64Array | null)[] {
    const rows = this.rows;
    return this.blocks.map((last, c) => {
      if (!last) return null;
      const whole = new Float64Array(rows);
      let at = 0;
      for (const blocks of this.#full) {
        const block = blocks[c]!;
        whole.set(block, at);
        at += this.#blockRows;
        spare(block);
        blocks[c] = null;
      }
      whole.set(last.subarray(0, this.row), at);
      spare(last);
      this.blocks[c] = null;
      return whole;
    });
  }
}

function spare(block: Float64Array<ArrayBuffer>): void {
  if (block.length === BLOCK_ROWS && SPARE.length < MOST_SPARE) SPARE.push(block);
}
