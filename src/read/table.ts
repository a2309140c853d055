import type { Problem } from '../problem.ts';

/** What a reader of one format hands on: columns under the file's own headings, in the file's own units. */
export interface Table {
  readonly headings: readonly string[];
  /** UCUM unit per column from the file itself; null where it names none. */
  readonly units: readonly (string | null)[];
  /** Values per column, NaN where empty or unreadable; null where the column was not asked for. */
  readonly columns: readonly (Float64Array | null)[];
  /** Columns of date-and-time stamps; their values are Unix seconds (or seconds of the day). */
  readonly stamps: ReadonlySet<number>;
  readonly rows: number;
  readonly bytes: number;
  readonly sha256: string;
  readonly lineOfRow: ((row: number) => number) | null;
  readonly problems: readonly Problem[];
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
  /** Judges by content, from the first bytes of the file. */
  recognise(head: Uint8Array): boolean;
  read(chunks: AsyncIterable<Uint8Array>, request: TableRequest): Promise<Table>;
}
