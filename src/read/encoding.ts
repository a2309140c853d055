import { isUtf8 as isWholeUtf8 } from 'node:buffer';
import type { Problem } from '../problem.ts';

/** A name that TextDecoder knows. */
export type Encoding = string;

/**
 * How the text of a file is encoded: by its byte order mark, by being valid UTF-8, by the XML declaration, else
 * Windows-1252, of which Latin-1 is a part.
 *
 * @param head the first bytes of the file
 * @returns null where the bytes are not text
 */
export function sniffEncoding(head: Uint8Array): Encoding | null {
  const [a, b, c, d] = head;
  if (a === 0xff && b === 0xfe) return 'utf-16le';
  if (a === 0xfe && b === 0xff) return 'utf-16be';
  // Without a mark every second byte of plain letters and digits is zero.
  if (a !== 0 && b === 0 && c !== 0 && d === 0) return 'utf-16le';
  if (a === 0 && b !== 0 && c === 0 && d !== 0) return 'utf-16be';
  if (isBinary(head)) return null;
  if (isUtf8(head)) return 'utf-8';
  const declared = /^<\?xml[^>]*encoding=["']([\w-]+)["']/.exec(
    new TextDecoder('latin1').decode(head.subarray(0, 200)),
  )?.[1];
  return declared !== undefined && isKnown(declared) ? declared.toLowerCase() : 'windows-1252';
}

/** The first bytes as text, without a byte order mark; null where they are none. */
export function textOf(head: Uint8Array): string | null {
  const encoding = sniffEncoding(head);
  return encoding === null ? null : new TextDecoder(encoding).decode(head);
}

/** The same text in UTF-8, without a byte order mark; bytes that are UTF-8 already pass as they are. */
export async function* asUtf8(chunks: AsyncIterable<Uint8Array>, encoding: Encoding): AsyncGenerator<Uint8Array> {
  if (encoding !== 'utf-8') {
    const decoder = new TextDecoder(encoding);
    const encoder = new TextEncoder();
    for await (const chunk of chunks) yield encoder.encode(decoder.decode(chunk, { stream: true }));
    yield encoder.encode(decoder.decode());
    return;
  }
  let first = true;
  for await (const chunk of chunks) {
    yield first && chunk[0] === 0xef && chunk[1] === 0xbb && chunk[2] === 0xbf ? chunk.subarray(3) : chunk;
    first = false;
  }
}

/** What is said of a file in another encoding; null for UTF-8. */
export function encodingProblem(encoding: Encoding, file: string): Problem | null {
  if (encoding === 'utf-8') return null;
  const sure = encoding.startsWith('utf-16');
  return {
    code: 'ENCODING',
    severity: 'note',
    place: { file },
    found: sure ? `text in ${encoding}` : `bytes that are not UTF-8, read as ${encoding}`,
    expected: 'UTF-8',
    remedy: sure
      ? 'nothing to do: it is read as it is'
      : 'look whether signs such as ° are right in the headings; export as UTF-8 if not',
  };
}

/** Judged by the beginning: one bad byte later is the fault of a cell, not of the file. */
const BEGINNING = 64;

/** Control characters that no text has. A tail of zeros is what a loss of power leaves behind a text. */
function isBinary(head: Uint8Array): boolean {
  let end = head.length;
  while (end > 0 && head[end - 1] === 0) end--;
  if (end === 0) return head.length > 0;
  return head.subarray(0, Math.min(end, BEGINNING)).some((byte) => byte < 32 && (byte < 9 || byte > 13));
}

/** A character that the end of the bytes cuts counts as valid. */
function isUtf8(head: Uint8Array): boolean {
  if (isWholeUtf8(head)) return true;
  try {
    new TextDecoder('utf-8', { fatal: true }).decode(head, { stream: true });
    return true;
  } catch {
    return false;
  }
}

function isKnown(label: string): boolean {
  try {
    new TextDecoder(label);
    return true;
  } catch {
    return false;
  }
}
