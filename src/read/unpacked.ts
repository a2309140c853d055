import { createGunzip, createZstdDecompress } from 'node:zlib';
import { LIMITS, tooLarge } from './limits.ts';
import { peek } from './peek.ts';
import { Refusal } from './refusal.ts';

const PACKINGS = [
  { name: 'gzip', magic: [0x1f, 0x8b], engine: () => createGunzip({ chunkSize: 1 << 18 }) },
  { name: 'zstd', magic: [0x28, 0xb5, 0x2f, 0xfd], engine: () => createZstdDecompress({ chunkSize: 1 << 18 }) },
] as const;

type Engine = ReturnType<(typeof PACKINGS)[number]['engine']>;

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
  return {
    chunks: pieces(packing.engine(), chunks, file, packing.name, state),
    packing: packing.name,
    cut: () => state.cut,
  };
}

async function* pieces(
  engine: Engine,
  chunks: AsyncIterable<Uint8Array>,
  file: string,
  name: string,
  state: { cut: boolean },
): AsyncGenerator<Uint8Array> {
  let failure: NodeJS.ErrnoException | null = null;
  let wake = (): void => {};
  let before = 0;
  let after = 0;
  engine.on('error', (error) => {
    failure = error;
    wake();
  });
  engine.on('readable', () => wake());
  engine.on('end', () => wake());

  /** Hands on what the engine has until `done`; nothing of it is left unread when this returns. */
  async function* drain(done: () => boolean): AsyncGenerator<Uint8Array> {
    for (;;) {
      const woken = new Promise<void>((resolve) => {
        wake = resolve;
      });
      for (let piece = engine.read() as Buffer | null; piece !== null; piece = engine.read() as Buffer | null) {
        after += piece.length;
        if (after > Math.max(LIMITS.unpackedBytes, LIMITS.unpackedRatio * before))
          throw tooLarge(
            file,
            { byte: before },
            `${before} bytes of ${name} that unpack to more than ${after}`,
            `at most ${LIMITS.unpackedRatio} times as much`,
          );
        yield piece;
      }
      if (failure || done()) return;
      await woken;
    }
  }

  try {
    for await (const chunk of chunks) {
      let taken = false;
      before += chunk.length;
      engine.write(chunk, () => {
        taken = true;
        wake();
      });
      yield* drain(() => taken && engine.readableLength === 0);
      if (failure) throw damaged(file, before, name, failure);
    }
    // Only now, with everything read, may the engine find out that the end is missing: an error drops what is unread.
    engine.end();
    yield* drain(() => engine.readableEnded);
    if (failure) state.cut = true;
  } finally {
    engine.destroy();
  }
}

function damaged(file: string, byte: number, name: string, error: Error): Refusal {
  return new Refusal({
    code: 'FILE_UNREADABLE',
    severity: 'stop',
    place: { file, byte },
    found: `damaged ${name} at or before this byte (${error.message})`,
    expected: 'a stream whose checksums agree',
    remedy: 'copy the file again from the logger',
  });
}
