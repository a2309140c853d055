import type { Problem } from '../problem.ts';
import type { Stamp } from './stamp.ts';

/** What a reader of one format hands on: columns under the file's own headings, in the file's own units. */
export interface Table {
  /** All different, none empty. */
  readonly headings: readonly string[];
  /** Line they stand on, from 1; null for formats without lines. */
  readonly headingLine: number | null;
  /** Unit per column from the file itself; null where it names none. */
  readonly units: readonly (string | null)[];
  /** Values per column, NaN where empty or unreadable; null where the column was not asked for. */
  readonly columns: readonly (Float64Array | null)[];
  /** Columns of dates and times; their values are seconds. */
  readonly stamps: ReadonlyMap<number, Stamp['kind']>;
  readonly rows: number;
  /** Rows that are NaN throughout because they could not be read. */
  readonly setAside: number;
  /** Where the file breaks off before its end: what stands there and what became of it; null where it is whole. */
  readonly cut: Cut | null;
  readonly lineOfRow: ((row: number) => number) | null;
  readonly problems: readonly Problem[];
}

export interface Cut {
  readonly line?: number;
  readonly found: string;
  readonly kept: string;
  /** Whether anything was lost for certain. */
  readonly lost: boolean;
}

/** What a reader is asked for. */
export interface TableRequest {
  /** As the user knows the file; stands in problems. */
  readonly file: string;
  readonly decimal?: '.' | ',' | undefined;
  /** Which headings to read; the others are listed but not parsed. */
  wanted(heading: string): boolean;
}

/** A format that logs come in. Adding one is a file with such an object and its line in `formats.ts`. */
export interface Format {
  readonly id: string;
  /** Judges by content, from the first bytes of the file: {@link HEAD_BYTES} of them, or all. */
  recognise(head: Uint8Array): boolean;
  /** @throws Refusal where it will not go on */
  read(chunks: AsyncIterable<Uint8Array>, request: TableRequest): Promise<Table>;
}

/** Enough for the heading and some rows of the widest table that is read. */
export const HEAD_BYTES = 1 << 20;
