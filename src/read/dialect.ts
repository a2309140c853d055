/** How one CSV file is written. Found by looking, overridden by the session file. */
export interface Dialect {
  readonly delimiter: ',' | ';' | '\t';
  readonly decimal: '.' | ',';
  /** Lines before the heading, the heading itself and a unit row; data starts behind them. */
  readonly headLines: number;
  readonly headings: readonly string[];
  /** Units of a row below the headings; empty where there is no such row. */
  readonly unitRow: readonly string[];
  /** False where the first line is already data and the headings are `column 1`, `column 2`, … */
  readonly named: boolean;
}

/** So many lines are looked at. */
const LINES = 120;
const DELIMITERS = [';', '\t', ','] as const;
const NUMBER = /^[+-]?(\d+([.,]\d*)?|[.,]\d+)([eE][+-]?\d+)?$/;
const STAMP = /^\d{4}-\d\d-\d\d[T ]\d\d:\d\d|^\d{1,2}:\d\d:\d\d/;

/** Cells of one line, quotes respected and removed. */
export function splitLine(line: string, delimiter: string): string[] {
  const cells: string[] = [];
  let cell = '';
  let quoted = false;
  for (let i = 0; i < line.length; i++) {
    const c = line[i];
    if (quoted) {
      if (c !== '"') cell += c;
      else if (line[i + 1] === '"') cell += line[++i];
      else quoted = false;
    } else if (c === '"') quoted = true;
    else if (c === delimiter) {
      cells.push(cell.trim());
      cell = '';
    } else cell += c;
  }
  cells.push(cell.trim());
  return cells;
}

const isData = (cell: string): boolean => cell === '' || NUMBER.test(cell) || STAMP.test(cell) || /^nan$/i.test(cell);

/**
 * Looks at the start of a file and says how it is written.
 *
 * A semicolon or a tab that splits the lines evenly wins over the comma, because a file with decimal commas is split
 * evenly by the comma as well.
 *
 * @param head the first lines of the file, decoded; the last, possibly cut line is not looked at
 * @returns null where no delimiter splits the lines into at least two even cells
 */
export function sniffDialect(head: string, asked: { decimal?: '.' | ',' | undefined } = {}): Dialect | null {
  const text = head.replace(/^\uFEFF/, '');
  const all = text.split(/\r\n|\n|\r/, LINES);
  if (all.length > 2) all.pop();
  const delimiter = DELIMITERS.find((mark) => commonest(all, mark) >= 2);
  if (delimiter === undefined) return null;
  const width = commonest(all, delimiter);

  const rows = all.map((line) => splitLine(line, delimiter));
  const firstData = rows.findIndex(
    (cells, i) => cells.length === width && !(all[i] ?? '').startsWith('#') && cells.some((c) => c !== '') && cells.every(isData),
  );
  if (firstData === -1) return null;

  // The heading: the nearest line above the data that has as many cells and is not itself numbers. It may be a comment.
  let head_ = firstData - 1;
  const bare = (i: number): string[] => splitLine((all[i] ?? '').replace(/^#\s*/, ''), delimiter);
  while (head_ >= 0 && bare(head_).length !== width) head_--;
  let unitRow: string[] = [];
  if (head_ > 0 && bare(head_ - 1).length === width && !(all[head_ - 1] ?? '').startsWith('#')) {
    unitRow = bare(head_).map((unit) => unit.replace(/^[[(]|[\])]$/g, ''));
    head_--;
  }
  const named = head_ >= 0;
  const headings = named ? bare(head_) : Array.from({ length: width }, (_, i) => `column ${i + 1}`);
  const body = rows.slice(firstData).flat();
  const comma = delimiter !== ',' && body.some((c) => /^[+-]?\d+,\d+$/.test(c)) && !body.some((c) => /^[+-]?\d+\.\d+$/.test(c));
  return { delimiter, decimal: asked.decimal ?? (comma ? ',' : '.'), headLines: firstData, headings, unitRow, named };
}

/** Commonest number of cells over the non-comment lines. */
function commonest(lines: readonly string[], delimiter: string): number {
  const counts = new Map<number, number>();
  for (const line of lines) {
    if (line === '' || line.startsWith('#')) continue;
    const n = splitLine(line, delimiter).length;
    counts.set(n, (counts.get(n) ?? 0) + 1);
  }
  let best = 0;
  let most = 0;
  for (const [n, count] of counts) if (count > most || (count === most && n > best)) [best, most] = [n, count];
  return best;
}
