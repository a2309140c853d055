import type { Place, Problem, ProblemCode, Severity } from '../problem.ts';
import { type Dialect, NO_VALUE } from './dialect.ts';
import { listed } from './listed.ts';

/** So many columns with bad cells are named one by one. */
const NAMED = 20;

interface Count {
  count: number;
  readonly line: number;
}

interface CellCount extends Count {
  /** How many of them are words for a value that is not there. */
  missing: number;
  sample: string;
}

/** Counts what is wrong with rows and cells, keeps the first place of each kind, and says it at the end. */
export class CsvFaults {
  readonly #file: string;
  readonly #dialect: Dialect;
  readonly #headings: readonly string[];
  #ragged: (Count & { readonly width: number }) | null = null;
  #repeated: Count | null = null;
  #open: Count | null = null;
  readonly #cells = new Map<number, CellCount>();

  constructor(file: string, dialect: Dialect, headings: readonly string[]) {
    this.#file = file;
    this.#dialect = dialect;
    this.#headings = headings;
  }

  get setAside(): number {
    return (this.#ragged?.count ?? 0) + (this.#open?.count ?? 0);
  }

  ragged(line: number, width: number): void {
    this.#ragged ??= { count: 0, line, width };
    this.#ragged.count++;
  }

  headingAgain(line: number): void {
    this.#repeated ??= { count: 0, line };
    this.#repeated.count++;
  }

  openQuote(line: number): void {
    this.#open ??= { count: 0, line };
    this.#open.count++;
  }

  cell(column: number, line: number, text: string): void {
    const word = NO_VALUE.test(text);
    const known = this.#cells.get(column) ?? { count: 0, missing: 0, line, sample: '' };
    known.count++;
    if (word) known.missing++;
    // A sample that is no mere word for "nothing" says more.
    if (known.sample === '' || (!word && NO_VALUE.test(known.sample))) known.sample = printable(text);
    this.#cells.set(column, known);
  }

  problems(rows: number, twice: readonly string[]): Problem[] {
    const problems: Problem[] = [];
    const say = (
      code: ProblemCode,
      severity: Severity,
      place: Omit<Place, 'file'>,
      found: string,
      expected: string,
      remedy: string,
    ): void => void problems.push({ code, severity, place: { file: this.#file, ...place }, found, expected, remedy });

    if (!this.#dialect.named && this.#headings.length > 0)
      say(
        'HEADER_MISSING',
        'warn',
        { line: 1 },
        'numbers in the first line',
        'a heading line `name [unit],…`',
        'name the columns in the session file: `columns: { time: { from: "column 1", unit: "s" } }`',
      );
    if (twice.length > 0)
      say(
        'HEADING_TWICE',
        'note',
        { line: this.#dialect.headingLine },
        `${twice.length} heading(s) that stand there before, called ${listed(twice)} here`,
        'a heading of its own for each column',
        'the first counts; to take another, name it so under `from:` in the session file',
      );
    if (rows === 0)
      say(
        'LOG_EMPTY',
        'stop',
        { line: 1 },
        'no row of data',
        'a heading line and rows below it',
        'export the log again, or take the run out of the session file',
      );
    if (this.#ragged) {
      const { count, line, width } = this.#ragged;
      say(
        'ROW_RAGGED',
        'warn',
        { line },
        `${count} row(s) with another number of cells than the heading, the first with ${width}`,
        `${this.#headings.length} cells, as the heading has`,
        'these rows are set aside; look at the lines in the logger’s export',
      );
    }
    if (this.#open) {
      const { count, line } = this.#open;
      say(
        'QUOTE_OPEN',
        'warn',
        { line },
        `${count} row(s) with a quotation mark that is not closed`,
        'quotation marks in pairs',
        'these rows are set aside; look at the lines in the logger’s export',
      );
    }
    if (this.#repeated) {
      const { count, line } = this.#repeated;
      say(
        'HEADING_REPEATED',
        'note',
        { line },
        `${count} heading line(s) among the rows`,
        'one heading',
        'nothing to do: they are passed over; the logger probably lost power or was started again',
      );
    }
    const cells = [...this.#cells];
    for (const [column, { count, missing, line, sample }] of cells.slice(0, NAMED))
      say(
        'CELL_UNREADABLE',
        missing === count ? 'note' : 'warn',
        { line, column: this.#headings[column] ?? '' },
        `\`${sample}\`${count > 1 ? ` and ${count - 1} more` : ''}`,
        'a number, or an empty cell',
        missing === count
          ? 'nothing to do: these cells count as empty'
          : 'these cells count as empty; if the decimal sign is a comma, say `decimal: ","` in the session file',
      );
    if (cells.length > NAMED)
      say(
        'CELL_UNREADABLE',
        'warn',
        { line: cells[NAMED]![1].line },
        `cells that are not numbers in ${cells.length - NAMED} more columns`,
        'numbers',
        'these cells count as empty',
      );
    return problems;
  }
}

const printable = (text: string): string => text.slice(0, 40).replace(/[^\P{C}]/gu, '\u00B7');
