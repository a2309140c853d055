import { createGunzip, createZstdDecompress } from 'node:zlib';
import { LIMITS, tooLarge } from './limits.ts';
import { peek } from './peek.ts';
import { Refusal } from './refusal.ts';

const PACKINGS = [
  { name: 'gzip', magic: [0x1f, 0x8b], engine: () => createGunzip({ chunkSize: 1 << 18 }) },
  { name: 'zstd', magic: [0x28, 0xb5, 0x2f, 0xfd], engine: () => createZstdDecompress({ chunkSize: 1 << 18 }) },
] as const;

type Packing = (typeof PACKINGS)[number];

export interface Unpacked {
  readonly chunks: AsyncIterable<Uint8Array>;
  /** Name of the packing, null where the bytes are as they were. */
  readonly packing: string | null;
  /** True once the packed stream was found to end before its end. */
  cut(): boolean;
}

/**
 * Unpacks gzip and zstd, told by their first bytes; anything else passes through.
 *
 * What a cut stream holds up to its break is handed on. A stream with wrong checksums, or one that grows beyond
 * reason, is refused: {@link LIMITS}.
 */
export async function unpacked(packed: AsyncIterable<Uint8Array>, file: string): Promise<Unpacked> {
  const { head, chunks } = await peek(packed, 4);
  const packing = PACKINGS.find(({ magic }) => magic.every((byte, i) => head[i] === byte));
  if (!packing) return { chunks, packing: null, cut: () => false };
  const state = { cut: false };
  return { chunks: pieces(packing, chunks, file, state), packing: packing.name, cut: () => state.cut };
}

async function* pieces(
  packing: Packing,
  chunks: AsyncIterable<Uint8Array>,
  file: string,
  state: { cut: boolean },
): AsyncGenerator<Uint8Array> {
  const { name } = packing;
  let before = 0;
  let after = 0;
  const counted = (piece: Uint8Array): Uint8Array => {
    after += piece.length;
    if (after <= Math.max(LIMITS.unpackedBytes, LIMITS.unpackedRatio * before)) return piece;
    const found = `${before} bytes of ${name} that unpack to more than ${after}`;
    throw tooLarge(file, { byte: before }, found, `at most ${LIMITS.unpackedRatio} times as much`);
  };
  let frame: Frame | null = null;
  try {
    for await (const chunk of chunks) {
      before += chunk.length;
      let left: Uint8Array = chunk;
      while (left.length > 0) {
        // Streams may follow each other, as where packed logs were put together; zeros between or behind them are padding.
        if (frame === null) {
          left = withoutZeros(left);
          if (left.length === 0) break;
          frame = new Frame(packing);
        }
        for await (const piece of frame.write(left)) yield counted(piece);
        if (frame.failure) throw damaged(file, before, name, frame.failure.message);
        left = frame.left(left);
        if (left.length === 0) break;
        frame.close();
        frame = null;
      }
    }
    if (frame === null) return;
    for await (const piece of frame.end()) yield counted(piece);
    if (frame.failure) state.cut = true;
  } finally {
    frame?.close();
  }
}

function withoutZeros(bytes: Uint8Array): Uint8Array {
  const first = bytes.findIndex((byte) => byte !== 0);
  return first === -1 ? bytes.subarray(bytes.length) : bytes.subarray(first);
}

/**
 * One packed stream, fed and emptied by turns. The engines of Node drop what is unread when they fail, and they fail at
 * a missing end only when told that nothing more comes: so everything is read before they are told.
 */
class Frame {
  readonly #engine: ReturnType<Packing['engine']>;
  #written = 0;
  #wake = (): void => {};
  failure: Error | null = null;

  constructor({ engine }: Packing) {
    this.#engine = engine();
    this.#engine.on('error', (error) => {
      this.failure = error;
      this.#wake();
    });
    for (const event of ['readable', 'end'] as const) this.#engine.on(event, () => this.#wake());
  }

  write(chunk: Uint8Array): AsyncGenerator<Uint8Array> {
    let taken = false;
    this.#written += chunk.length;
    this.#engine.write(chunk, () => {
      taken = true;
      this.#wake();
    });
    return this.#drain(() => taken && this.#engine.readableLength === 0);
  }

  end(): AsyncGenerator<Uint8Array> {
    this.#engine.end();
    return this.#drain(() => false);
  }

  /** What of the chunk just written lies behind the end of the stream. */
  left(chunk: Uint8Array): Uint8Array {
    const unused = this.#written - this.#engine.bytesWritten;
    return chunk.subarray(chunk.length - unused);
  }

  close(): void {
    this.#engine.destroy();
  }

  async *#drain(done: () => boolean): AsyncGenerator<Uint8Array> {
    for (;;) {
      const woken = new Promise<void>((resolve) => {
        this.#wake = resolve;
      });
      for (let piece: Buffer | null; (piece = this.#engine.read()) !== null; ) yield piece;
      if (this.failure || this.#engine.readableEnded || done()) return;
      await woken;
    }
  }
}

function damaged(file: string, byte: number, name: string, why: string): Refusal {
  return new Refusal({
    code: 'FILE_UNREADABLE',
    severity: 'stop',
    place: { file, byte },
    found: `damaged ${name} at or before this byte (${why})`,
    expected: 'a stream whose checksums agree',
    remedy: 'copy the file again from the logger',
  });
}
