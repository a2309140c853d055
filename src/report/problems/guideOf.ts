import type { ProblemCode, Severity } from '../../problem.ts';

/** A file as a user would have it, short enough for a page. */
export interface Sheet {
  readonly file: string;
  readonly text: string;
  /** Said where the file is not saved as UTF-8. */
  readonly encoding?: 'windows-1252';
}

/** What the page of a problem code says. Text between backticks is set as code. */
export interface Guide {
  /** How grave the code may be; which it is depends on how much is affected. */
  readonly severities: readonly Severity[];
  /** What it means. */
  readonly meaning: string;
  /** What it costs the report. */
  readonly cost: string;
  /** Files that raise this code and no other. */
  readonly before: readonly Sheet[];
  /** What to do, in words. */
  readonly cure: string;
  /** Those of the files that had to be mended; with them the code is no longer raised. */
  readonly after: readonly Sheet[];
  /** Whether `accept:` in the session file can speak of it. */
  readonly acceptable: boolean;
  /** When that is reasonable, or why it is not possible. */
  readonly accept: string;
}

/** A part of the guide: some codes. */
export type GuidePart<Codes extends ProblemCode> = Readonly<Record<Codes, Guide>>;
