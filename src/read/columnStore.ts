import { LIMITS, tooLarge } from './limits.ts';

/** Values of one block over all columns. */
const BLOCK_VALUES = 1 << 18;

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
    this.#blockRows = Math.max(16, Math.min(8192, Math.floor(BLOCK_VALUES / count)));
    this.#maxRows = Math.floor(LIMITS.values / count);
    this.blocks = wanted.map((is) => (is ? new Float64Array(this.#blockRows) : null));
  }

  get rows(): number {
    return this.#full.length * this.#blockRows + this.row;
  }

  next(): void {
    if (++this.row < this.#blockRows) return;
    this.#full.push([...this.blocks]);
    for (let c = 0; c < this.blocks.length; c++) if (this.blocks[c]) this.blocks[c] = new Float64Array(this.#blockRows);
    this.row = 0;
    if (this.rows > this.#maxRows)
      throw tooLarge(
        this.#file,
        {},
        `more than ${this.#maxRows} rows`,
        `at most ${LIMITS.values} values in the columns that are read`,
      );
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
        whole.set(blocks[c]!, at);
        at += this.#blockRows;
        blocks[c] = null;
      }
      whole.set(last.subarray(0, this.row), at);
      this.blocks[c] = null;
      return whole;
    });
  }
}
