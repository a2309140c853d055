import type { Effects } from '../../src/effects.ts';
import type { Problem } from '../../src/problem.ts';
import { ColumnMap, type ColumnRule } from '../../src/read/columns.ts';
import { readLog } from '../../src/read/log.ts';
import type { ChannelName, Recording } from '../../src/read/recording.ts';

export type Rules = Partial<Record<ChannelName, Omit<ColumnRule, 'file'>>>;

export interface Options {
  readonly rules?: Rules;
  readonly decimal?: '.' | ',';
  readonly everything?: boolean;
  /** Sizes of the pieces that the bytes come in, over and over; all at once by default. */
  readonly pieces?: readonly number[];
}

/** Bytes in pieces of the given sizes. */
export async function* inPieces(bytes: Uint8Array, sizes: readonly number[] = [1 << 20]): AsyncGenerator<Uint8Array> {
  for (let at = 0, i = 0; at < bytes.length; i++) {
    const size = Math.max(1, sizes[i % sizes.length] ?? 1);
    yield bytes.subarray(at, at + size);
    at += size;
  }
}

/** Pieces that are spoiled once the next is asked for, as where all are read to one place. */
async function* spoiled(pieces: AsyncIterable<Uint8Array>): AsyncGenerator<Uint8Array> {
  for await (const piece of pieces) {
    const given = Uint8Array.from(piece);
    yield given;
    given.fill(0x37);
  }
}

/** Reads bytes or text as the log `run-01.csv`, without a file. */
export function readBytes(
  content: string | Uint8Array | (() => AsyncIterable<Uint8Array>),
  { rules = {}, decimal, everything = false, pieces }: Options = {},
): Promise<{ recording: Recording | null; problems: readonly Problem[] }> {
  const bytes = typeof content === 'string' ? new TextEncoder().encode(content) : content;
  const effects = {
    exists: () => Promise.resolve(true),
    chunks: () => spoiled(typeof bytes === 'function' ? bytes() : inPieces(bytes, pieces)),
  } as unknown as Effects;
  const columns = new ColumnMap(
    new Map(
      Object.entries(rules).map(([name, rule]) => [name as ChannelName, { ...rule, file: 'session.md', line: 9 }]),
    ),
  );
  return readLog({ path: '/somewhere/run-01.csv', file: 'run-01.csv', columns, decimal, everything }, effects);
}

/** Codes of problems, each once, in order. */
export const codes = (problems: readonly Problem[]): string[] => [...new Set(problems.map(({ code }) => code))];
