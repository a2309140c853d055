import { gzipSync, zstdCompressSync } from 'node:zlib';
import { sniffDialect, sniffedBytes } from '../read/dialect.ts';
import { asUtf8, sniffEncoding } from '../read/encoding.ts';
import { peek } from '../read/peek.ts';
import { unpacked } from '../read/unpacked.ts';

/** A log without some of its columns' values. */
export interface Without {
  readonly bytes: Uint8Array;
  /** Headings whose cells were emptied. */
  readonly columns: readonly string[];
}

/** Bytes of a log that are looked at for its dialect. */
const HEAD_BYTES = 1 << 18;

/**
 * A log of comma-separated values with the cells of some columns emptied; headings, units, lines and every other cell
 * stay as they are, so that rows can still be pointed at. Packed as it was.
 *
 * @param chunks of the log
 * @param unwanted whether the values under a heading must not be published
 * @returns null where the log is of no kind that columns can be taken out of
 */
export async function withoutColumns(
  chunks: AsyncIterable<Uint8Array>,
  file: string,
  unwanted: (heading: string) => boolean,
): Promise<Without | null> {
  const open = await unpacked(chunks, file);
  const start = await peek(open.chunks, HEAD_BYTES);
  const encoding = sniffEncoding(start.head) ?? 'utf-8';
  if (encoding.startsWith('utf-16')) return null;
  const head = new TextDecoder(encoding).decode(sniffedBytes(start.head.subarray(0, HEAD_BYTES)));
  const dialect = head.trimStart().startsWith('<') ? null : sniffDialect(head);
  if (!dialect) return null;
  const columns = dialect.headings.flatMap((heading, i) => (unwanted(heading) ? [i] : []));
  const pieces: Uint8Array[] = [];
  for await (const piece of asUtf8(start.chunks, encoding)) pieces.push(piece);
  const text = new TextDecoder('utf-8', { ignoreBOM: true }).decode(Buffer.concat(pieces));
  const changed = columns.length === 0 ? text : emptied(text, dialect, columns);
  const plain = new TextEncoder().encode(changed);
  const bytes = open.packing === 'gzip' ? gzipSync(plain) : open.packing === 'zstd' ? zstdCompressSync(plain) : plain;
  return { bytes, columns: columns.map((i) => dialect.headings[i]!) };
}

/** Goes through the text once; a delimiter or a line end inside quotes is none. */
function emptied(
  text: string,
  { delimiter, lineEnd, headLines }: { delimiter: string; lineEnd: string; headLines: number },
  columns: readonly number[],
): string {
  const wanted = new Set(columns);
  let done = '';
  let from = 0;
  let column = 0;
  let line = 0;
  let quoted = false;
  const close = (end: number): void => {
    const cell = text.slice(from, end);
    done += line >= headLines && wanted.has(column) ? (cell.endsWith('\r') ? '\r' : '') : cell;
    from = end;
  };
  for (let i = 0; i < text.length; i++) {
    const sign = text[i];
    if (sign === '"') quoted = !quoted;
    else if (quoted && line >= headLines) continue;
    else if (sign === delimiter) {
      close(i);
      column++;
      done += delimiter;
      from = i + 1;
    } else if (sign === lineEnd) {
      close(i);
      done += lineEnd;
      from = i + 1;
      column = 0;
      line++;
      quoted = false;
    }
  }
  close(text.length);
  return done;
}
