/**
 * The first bytes of a stream without losing them.
 *
 * @returns at least `count` bytes, or all where there are fewer, and the whole stream with those bytes in front
 */
export async function peek(
  chunks: AsyncIterable<Uint8Array>,
  count: number,
): Promise<{ head: Uint8Array; chunks: AsyncIterable<Uint8Array> }> {
  const rest = chunks[Symbol.asyncIterator]();
  const parts: Uint8Array[] = [];
  let length = 0;
  while (length < count) {
    const next = await rest.next();
    if (next.done) break;
    length += next.value.length;
    // The next piece may be read to the same place.
    parts.push(length < count ? new Uint8Array(next.value) : next.value);
  }
  const head = parts.length === 1 ? parts[0]! : joined(parts, length);
  return { head, chunks: behind(head, rest) };
}

function joined(parts: readonly Uint8Array[], length: number): Uint8Array {
  const all = new Uint8Array(length);
  let at = 0;
  for (const part of parts) {
    all.set(part, at);
    at += part.length;
  }
  return all;
}

async function* behind(head: Uint8Array, rest: AsyncIterator<Uint8Array>): AsyncGenerator<Uint8Array> {
  try {
    if (head.length > 0) yield head;
    for (let next = await rest.next(); !next.done; next = await rest.next()) yield next.value;
  } finally {
    // A reader that stops early closes the file.
    await rest.return?.();
  }
}
