import { CsvRows } from './csvRows.ts';
import { type Dialect, sniffDialect, sniffedBytes, splitLine } from './dialect.ts';
import { asUtf8, type Encoding, encodingProblem, sniffEncoding } from './encoding.ts';
import { distinctHeadings, headingParts } from './headings.ts';
import { LIMITS, tooLarge } from './limits.ts';
import { Lines } from './lines.ts';
import { peek } from './peek.ts';
import { type Format, HEAD_BYTES, type Table, type TableRequest } from './table.ts';

/** Sentences of a receiver have commas too, but a checksum each. */
const SENTENCES = /^[$!][A-Z]{4,}[^\n]*\*[0-9A-F]{2}\r?$/m;

/** Comma-separated values: RFC 4180 and the dialects that loggers write. */
export const csv: Format = {
  id: 'csv',
  recognise(head) {
    const encoding = sniffEncoding(head);
    const text = encoding === null ? null : decoded(head, encoding);
    return text !== null && !SENTENCES.test(text) && (sniffed(text) !== null || isHeading(text));
  },
  read,
};

async function read(chunks: AsyncIterable<Uint8Array>, request: TableRequest): Promise<Table> {
  const { file } = request;
  const start = await peek(chunks, HEAD_BYTES);
  const encoding = sniffEncoding(start.head) ?? 'utf-8';
  const head = start.head.subarray(0, HEAD_BYTES);
  const found = sniffed(decoded(head, encoding)) ?? headingOnly(new TextDecoder(encoding).decode(head));
  const dialect = { ...found, decimal: request.decimal ?? found.decimal };
  if (dialect.headings.length > LIMITS.columns)
    throw tooLarge(file, { line: 1 }, `${dialect.headings.length} columns`, `at most ${LIMITS.columns}`);

  const { headings, twice } = distinctHeadings(dialect.headings);
  const rows = new CsvRows(
    dialect,
    headings,
    headings.map((heading) => request.wanted(heading)),
    file,
  );
  const lines = new Lines(file, dialect, rows.take, rows.many);
  for await (const piece of asUtf8(start.chunks, encoding)) {
    lines.push(piece);
    rows.letGo();
  }
  lines.finish();

  const foreign = encodingProblem(encoding, file);
  return {
    headings,
    headingLine: dialect.headingLine,
    units: headings.map(
      (heading, i) => headingParts(heading).unit ?? (dialect.unitRow[i] || dialect.cellUnits[i]) ?? null,
    ),
    rows: rows.rows,
    columns: rows.columns(),
    stamps: rows.stamps,
    setAside: rows.faults.setAside,
    cut: rows.cut,
    lineOfRow: rows.lineOfRow,
    problems: [...(foreign ? [foreign] : []), ...rows.faults.problems(rows.rows, twice)],
  };
}

let latest: { readonly text: string; readonly dialect: Dialect | null } = { text: '', dialect: null };

/** The dialect of a head. The latest is kept: a file is recognised and then read by the same one. */
function sniffed(text: string): Dialect | null {
  if (latest.text !== text) latest = { text, dialect: sniffDialect(text) };
  return latest.dialect;
}

/** The first lines as text; of UTF-16, whose line ends are not single bytes, everything. */
function decoded(head: Uint8Array, encoding: Encoding): string {
  return new TextDecoder(encoding).decode(encoding.startsWith('utf-16') ? head : sniffedBytes(head));
}

/** Text without a row of numbers: one line that is not finished, or a line of headings. */
function isHeading(text: string): boolean {
  if (text.trim() === '') return false;
  const [first = '', ...more] = text.split(/\r\n|\n|\r/);
  return first.trimStart()[0] !== '<' && (more.length === 0 || /[,;\t]/.test(first));
}

/** A file with a heading and not one row of data. */
function headingOnly(text: string): Dialect {
  const lines = text.replace(/^\uFEFF/, '').split(/\r\n|\n|\r/);
  const line = lines.findLast((each) => each.trim() !== '' && !each.startsWith('#')) ?? '';
  const delimiter = ([';', '\t', ','] as const).find((mark) => line.includes(mark)) ?? ',';
  return {
    delimiter,
    decimal: '.',
    lineEnd: text.includes('\n') ? '\n' : '\r',
    headLines: Number.POSITIVE_INFINITY,
    headingLine: Math.max(1, lines.indexOf(line) + 1),
    headings: line === '' ? [] : splitLine(line, delimiter),
    unitRow: [],
    cellUnits: [],
    kinds: [],
    named: true,
  };
}
